//! Quantities as people type them, read as the library reads them everywhere.

use thereback::notes;
use thereback::parser::quantity::{DURATION, ENERGY, LENGTH, MASS, POWER, QuantityError};

/// A length in metres: `900m`, `0.5 nmi`.
pub(crate) fn length(text: &str) -> Result<f64, QuantityError> {
    LENGTH.read(text)
}

/// A mass in kilograms: `345kg`, `760 lb`.
pub(crate) fn mass(text: &str) -> Result<f64, QuantityError> {
    MASS.read(text)
}

/// A power in watts: `400W`, `1.2 kW`.
pub(crate) fn power(text: &str) -> Result<f64, QuantityError> {
    POWER.read(text)
}

/// An energy in watt hours: `1200Wh`, `1.2 kWh`.
pub(crate) fn energy(text: &str) -> Result<f64, QuantityError> {
    ENERGY.read(text)
}

/// A share: `5%`, or `5` for the same.
pub(crate) fn share(text: &str) -> Result<f64, String> {
    Ok(notes::percent(text)? / 100.0)
}

/// A span of time in seconds: `3h`, `90min`, `2h30min`, `2 hours`.
pub(crate) fn span(text: &str) -> Result<f64, QuantityError> {
    DURATION.read(text)
}
