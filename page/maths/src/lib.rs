//! One implementation of the mathematical functions on every machine.
//!
//! `f64::exp` and the like call the C library of the machine, whose last digit differs from one
//! library to the next; a browser has none. A program that links this crate calls the functions of
//! the `libm` crate by the C library's names instead, in all its crates, so that the same input gives
//! the same bytes everywhere.
#![no_std]

macro_rules! functions {
    ($($name:ident($($x:ident),+))+) => {
        $(
            /// The function of this name in C.
            #[unsafe(no_mangle)]
            pub extern "C" fn $name($($x: f64),+) -> f64 {
                libm::$name($($x),+)
            }
        )+
    };
}

functions! {
    acos(x)
    asin(x)
    atan(x)
    atan2(y, x)
    cbrt(x)
    cos(x)
    cosh(x)
    exp(x)
    exp2(x)
    expm1(x)
    hypot(x, y)
    log(x)
    log10(x)
    log1p(x)
    log2(x)
    pow(x, y)
    sin(x)
    sinh(x)
    tan(x)
    tanh(x)
}

/// A power of ten, as which a compiler for GNU's C library writes `pow(10, x)`.
#[unsafe(no_mangle)]
pub extern "C" fn exp10(x: f64) -> f64 {
    libm::pow(10.0, x)
}

/// Sine and cosine together, as which such a compiler writes one beside the other.
///
/// # Safety
/// Both addresses must be those of numbers that may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn sincos(x: f64, sine: *mut f64, cosine: *mut f64) {
    // SAFETY: the caller gives two places for the results, as in C.
    unsafe {
        *sine = libm::sin(x);
        *cosine = libm::cos(x);
    }
}
