//! The nearest of the words that would have been right.

/// How far a word may be from what was typed to be worth a suggestion: one slip in every three
/// letters. Common practice, no source; more than that and the guess is noise.
const LETTERS_PER_SLIP: usize = 3;

/// The candidate nearest to `typed`, letters' case aside; the first of equals. A slip is a letter
/// put in, taken out, changed or swapped with its neighbour.
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
        .map(|candidate| {
            let slips = strsim::osa_distance(&typed, &candidate.to_lowercase());
            (slips, candidate)
        })
        .filter(|(slips, _)| *slips <= allowed)
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn finds_the_nearest_or_nothing() {
        let keys = ["title", "timezone", "units"];
        assert_eq!(nearest("timezon", keys), Some("timezone"));
        assert_eq!(nearest("Untis", keys), Some("units"));
        assert_eq!(nearest("propeller", keys), None);
        assert_eq!(nearest("", keys), None);
    }
}
