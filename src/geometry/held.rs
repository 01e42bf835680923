//! Which level a noisy series held, and until when: the one search behind headings and speeds.
//!
//! The series is explained by a level that stays, creeps to a neighbour at a small price, or jumps
//! anywhere at a larger one. A sample far from the level costs no more than a cap, so that a short
//! excursion does not end a long stretch. The cheapest explanation is found exactly by dynamic
//! programming over all levels (Viterbi 1967, IEEE Trans. Inf. Theory 13, 260-269), in time linear
//! in the number of samples.

/// The levels and what moving between them costs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Levels {
    /// How many there are.
    pub count: usize,
    /// Whether the last is a neighbour of the first, as of headings.
    pub circular: bool,
    /// Price of moving to a neighbour from one sample to the next.
    pub creep: f64,
    /// Price of moving to any level.
    pub jump: f64,
}

impl Levels {
    fn neighbour(self, level: usize, up: bool) -> Option<usize> {
        let last = self.count.checked_sub(1).filter(|last| level <= *last)?;
        match (up, level) {
            (false, 0) => self.circular.then_some(last),
            (true, _) if level == last => self.circular.then_some(0),
            (false, _) => Some(level - 1),
            (true, _) => Some(level + 1),
        }
    }
}

/// What was held at one sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Held {
    /// The level; `None` where nothing was held.
    pub level: Option<usize>,
    /// Whether a jump led to it.
    pub jumped: bool,
}

/// How the cheapest way into a state came about; one byte for each state of each sample.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    Stayed,
    FromBelow,
    FromAbove,
    Jumped,
}

/// The cheapest explanation of a series of `samples`.
///
/// `cost(sample, costs)` writes what each level costs at a sample, and returns what it costs to
/// hold none there.
pub(super) fn held(
    samples: usize,
    levels: Levels,
    mut cost: impl FnMut(usize, &mut [f64]) -> f64,
) -> Vec<Held> {
    // To hold none is the last state.
    let states = levels.count + 1;
    let mut costs = vec![0.0; levels.count];
    let (mut value, mut next) = (vec![0.0; states], vec![0.0; states]);
    let mut ways = Vec::with_capacity(samples * states);
    let mut best_before = Vec::with_capacity(samples);
    for sample in 0..samples {
        let none = cost(sample, &mut costs);
        let (cheapest, least) = least_of(&value);
        best_before.push(cheapest);
        let own = costs.iter().chain([&none]);
        for (state, (next, own)) in next.iter_mut().zip(own).enumerate() {
            let creep = |up| {
                let from = levels.neighbour(state, up).and_then(|n| value.get(n));
                from.map_or(f64::INFINITY, |v| v + levels.creep)
            };
            let first = if sample == 0 { f64::INFINITY } else { 0.0 };
            let mut best = (value.get(state).copied().unwrap_or(0.0), Way::Stayed);
            for other in [
                (creep(false), Way::FromBelow),
                (creep(true), Way::FromAbove),
                (least + levels.jump + first, Way::Jumped),
            ] {
                if other.0 < best.0 {
                    best = other;
                }
            }
            *next = best.0 + own;
            ways.push(best.1);
        }
        std::mem::swap(&mut value, &mut next);
    }
    let mut state = least_of(&value).0;
    let mut found = Vec::with_capacity(samples);
    for (ways, before) in ways.chunks_exact(states).zip(best_before).rev() {
        let way = ways.get(state).copied().unwrap_or(Way::Stayed);
        found.push(Held {
            level: (state < levels.count).then_some(state),
            jumped: way == Way::Jumped,
        });
        state = match way {
            Way::Stayed => state,
            Way::FromBelow => levels.neighbour(state, false).unwrap_or(state),
            Way::FromAbove => levels.neighbour(state, true).unwrap_or(state),
            Way::Jumped => before,
        };
    }
    found.reverse();
    found
}

fn least_of(values: &[f64]) -> (usize, f64) {
    let least = (values.iter().copied().enumerate()).min_by(|a, b| a.1.total_cmp(&b.1));
    least.unwrap_or((0, f64::INFINITY))
}
