//! Published series that more than one test needs.

/// The numbers of one NIST dataset, by rows; source in `tests/data/nist/README.md`.
fn rows(text: &str) -> Vec<Vec<f64>> {
    text.lines()
        .map(|line| {
            line.split_whitespace()
                .filter_map(|n| n.parse().ok())
                .collect()
        })
        .collect()
}

/// A dataset of one column.
pub(crate) fn column(text: &str) -> Vec<f64> {
    rows(text).concat()
}

/// `x` and `y` of a dataset of `y x` rows.
pub(crate) fn x_and_y(text: &str) -> (Vec<f64>, Vec<f64>) {
    let pairs = rows(text)
        .into_iter()
        .filter_map(|row| match row.as_slice() {
            [y, x] => Some((*x, *y)),
            _ => None,
        });
    pairs.unzip()
}

macro_rules! nist {
    ($($name:ident = $file:literal;)*) => {
        $(pub(crate) const $name: &str = include_str!(concat!("../data/nist/", $file, ".dat"));)*
    };
}

nist! {
    LEW = "Lew";
    LOTTERY = "Lottery";
    MAVRO = "Mavro";
    MICHELSO = "Michelso";
    NUM_ACC_1 = "NumAcc1";
    NUM_ACC_2 = "NumAcc2";
    NUM_ACC_3 = "NumAcc3";
    NUM_ACC_4 = "NumAcc4";
    NORRIS = "Norris";
}
