//! The nearest of the words that would have been right.

/// How far a word may be from what was typed to be worth a suggestion: one slip in every three
/// letters. Common practice, no source; more than that and the guess is noise.
const LETTERS_PER_SLIP: usize = 3;

/// The candidate nearest to `typed`, letters' case aside; the first of equals.
///
/// `None` where none is near enough to be meant.
pub(crate) fn nearest<'a>(
    typed: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    let allowed = typed.chars().count().div_ceil(LETTERS_PER_SLIP);
    candidates
        .into_iter()
        .map(|candidate| (slips(&typed, &candidate.to_lowercase()), candidate))
        .filter(|(slips, _)| *slips <= allowed)
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, candidate)| candidate)
}

/// How many letters must be put in, taken out, changed or swapped with their neighbour
/// (optimal string alignment distance).
fn slips(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, letter) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, other) in b.iter().enumerate() {
            let changed = last[j] + usize::from(letter != other);
            let mut best = changed.min(last[j + 1] + 1).min(row[j] + 1);
            let swapped = i > 0 && j > 0 && *letter == b[j - 1] && a[i - 1] == *other;
            if swapped {
                best = best.min(before_last[j - 1] + 1);
            }
            row.push(best);
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::{nearest, slips};

    #[test]
    fn counts_slips() {
        assert_eq!(slips("", "abc"), 3);
        assert_eq!(slips("kitten", "sitting"), 3);
        assert_eq!(slips("speed", "spede"), 1);
        assert_eq!(slips("från", "from"), 2);
    }

    #[test]
    fn finds_the_nearest_or_nothing() {
        let keys = ["title", "timezone", "units"];
        assert_eq!(nearest("timezon", keys), Some("timezone"));
        assert_eq!(nearest("Untis", keys), Some("units"));
        assert_eq!(nearest("propeller", keys), None);
        assert_eq!(nearest("", keys), None);
    }
}
