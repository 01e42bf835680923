//! The library behind the page, as a few plain functions that a worker calls.
//!
//! The worker asks for [`room`], writes into it, calls one of [`read`], [`analyse`], [`write`] or
//! [`plan`], and takes what was made: [`count`] outputs, each with a name and bytes. A function
//! returns 0 where it failed; its one output is then the sentence for the person. Files stay read
//! until [`forget`], so a changed note costs no more than the analysis.

mod drawing;

mod desk;

use std::cell::RefCell;

use desk::Desk;

thread_local! {
    static DESK: RefCell<Desk> = RefCell::default();
}

/// Makes room for an input of so many bytes and returns its address.
#[unsafe(no_mangle)]
extern "C" fn room(length: usize) -> *mut u8 {
    DESK.with_borrow_mut(|desk| {
        desk.input = vec![0; length];
        desk.input.as_mut_ptr()
    })
}

/// Forgets all files.
#[unsafe(no_mangle)]
extern "C" fn forget() {
    DESK.with_borrow_mut(Desk::forget);
}

/// Reads a file: the input is its name, so many bytes of it, and then its content.
/// Returns 1 for a track, 2 for a wind log, 3 for a power log, 4 for a photograph.
#[unsafe(no_mangle)]
extern "C" fn read(name_length: usize) -> u32 {
    DESK.with_borrow_mut(|desk| desk.read(name_length))
}

/// Analyses the files with the notes that are the input; the outputs are `result.json`, the notes
/// as understood, and the drawing with its numbers.
#[unsafe(no_mangle)]
extern "C" fn analyse() -> u32 {
    DESK.with_borrow_mut(Desk::analyse)
}

/// Writes up what was analysed last: every file that the command writes.
#[unsafe(no_mangle)]
extern "C" fn write() -> u32 {
    DESK.with_borrow_mut(Desk::write)
}

/// Plans a day from the request that is the input, as JSON: the card, the plan, the notes.
#[unsafe(no_mangle)]
extern "C" fn plan() -> u32 {
    DESK.with_borrow_mut(Desk::plan)
}

/// How many outputs the last call left.
#[unsafe(no_mangle)]
extern "C" fn count() -> usize {
    DESK.with_borrow(|desk| desk.outputs.len())
}

/// Length of an output, bytes.
#[unsafe(no_mangle)]
extern "C" fn size(output: usize) -> usize {
    DESK.with_borrow(|desk| desk.outputs.get(output).map_or(0, |file| file.bytes.len()))
}

/// Address of an output.
#[unsafe(no_mangle)]
extern "C" fn at(output: usize) -> *const u8 {
    let at = |desk: &Desk| Some(desk.outputs.get(output)?.bytes.as_ptr());
    DESK.with_borrow(|desk| at(desk).unwrap_or(std::ptr::null()))
}

/// Length of an output's name, bytes.
#[unsafe(no_mangle)]
extern "C" fn name_size(output: usize) -> usize {
    DESK.with_borrow(|desk| desk.outputs.get(output).map_or(0, |file| file.path.len()))
}

/// Address of an output's name.
#[unsafe(no_mangle)]
extern "C" fn name_at(output: usize) -> *const u8 {
    let at = |desk: &Desk| Some(desk.outputs.get(output)?.path.as_ptr());
    DESK.with_borrow(|desk| at(desk).unwrap_or(std::ptr::null()))
}
