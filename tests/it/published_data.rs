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
    NO_INT_1 = "NoInt1";
}

/// Luteinizing hormone in blood at 10-minute steps, 48 values: Diggle (1990), *Time Series: A
/// Biostatistical Introduction*; as in R's `lh`.
pub(crate) const LH: [f64; 48] = [
    2.4, 2.4, 2.4, 2.2, 2.1, 1.5, 2.3, 2.3, 2.5, 2.0, 1.9, 1.7, 2.2, 1.8, 3.2, 3.2, 2.7, 2.2, 2.2,
    1.9, 1.9, 1.8, 2.7, 3.0, 2.3, 2.0, 2.0, 2.9, 2.9, 2.7, 2.7, 2.3, 2.6, 2.4, 1.8, 1.7, 1.5, 1.4,
    2.1, 3.3, 3.5, 3.5, 3.1, 2.6, 2.1, 3.4, 3.0, 2.9,
];

/// Hours of sleep gained with two drugs by ten patients: Student (1908), *Biometrika*
/// 6, 1-25; as in R's `sleep`.
pub(crate) const SLEEP: [[f64; 10]; 2] = [
    [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0],
    [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
];
