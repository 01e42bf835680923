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

/// What was held at one sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Held {
    /// The level; `None` where nothing was held.
    pub level: Option<usize>,
    /// Whether a jump led to it.
    pub jumped: bool,
}

/// How the cheapest way into a state came about.
const STAYED: u8 = 0;
const FROM_BELOW: u8 = 1;
const FROM_ABOVE: u8 = 2;
const JUMPED: u8 = 3;

/// The cheapest explanation of a series of `samples`.
///
/// `cost(sample, costs)` writes what each level costs at a sample, and returns what it costs to
/// hold none there.
pub(super) fn held(
    samples: usize,
    levels: Levels,
    mut cost: impl FnMut(usize, &mut [f64]) -> f64,
) -> Vec<Held> {
    let count = levels.count;
    let states = count + 1;
    let mut own = vec![0.0; states];
    let mut value = vec![0.0; states];
    let mut next = vec![0.0; states];
    let mut came = vec![STAYED; samples * states];
    let mut best_before = vec![0_usize; samples];
    for sample in 0..samples {
        let none = cost(sample, own.get_mut(..count).unwrap_or_default());
        if let Some(slot) = own.last_mut() {
            *slot = none;
        }
        let (cheapest, least) = least_of(&value);
        if let Some(slot) = best_before.get_mut(sample) {
            *slot = cheapest;
        }
        let from = sample * states;
        let ways = came.get_mut(from..from + states).unwrap_or_default();
        for (state, ((next, way), own)) in next.iter_mut().zip(ways).zip(&own).enumerate() {
            let stay = value.get(state).copied().unwrap_or(f64::INFINITY);
            let (mut price, mut how) = (stay, STAYED);
            for (neighbour, code) in [
                (below(state, levels), FROM_BELOW),
                (above(state, levels), FROM_ABOVE),
            ] {
                let creep = neighbour
                    .and_then(|n| value.get(n))
                    .map(|v| v + levels.creep);
                if let Some(creep) = creep.filter(|c| *c < price) {
                    (price, how) = (creep, code);
                }
            }
            if sample > 0 && least + levels.jump < price {
                (price, how) = (least + levels.jump, JUMPED);
            }
            *next = price + own;
            *way = how;
        }
        std::mem::swap(&mut value, &mut next);
    }
    let mut state = least_of(&value).0;
    let mut found = vec![
        Held {
            level: None,
            jumped: false,
        };
        samples
    ];
    for sample in (0..samples).rev() {
        let how = came.get(sample * states + state).copied();
        let jumped = how == Some(JUMPED);
        if let Some(slot) = found.get_mut(sample) {
            *slot = Held {
                level: (state < count).then_some(state),
                jumped,
            };
        }
        state = match how {
            Some(FROM_BELOW) => below(state, levels).unwrap_or(state),
            Some(FROM_ABOVE) => above(state, levels).unwrap_or(state),
            Some(JUMPED) => best_before.get(sample).copied().unwrap_or(state),
            _ => state,
        };
    }
    found
}

fn least_of(values: &[f64]) -> (usize, f64) {
    let mut least = (0, f64::INFINITY);
    for (state, value) in values.iter().enumerate() {
        if *value < least.1 {
            least = (state, *value);
        }
    }
    least
}

fn below(state: usize, levels: Levels) -> Option<usize> {
    match state {
        0 if levels.circular => levels.count.checked_sub(1),
        state if state < levels.count => state.checked_sub(1),
        _ => None,
    }
}

fn above(state: usize, levels: Levels) -> Option<usize> {
    match state + 1 {
        next if next < levels.count => Some(next),
        next if next == levels.count && levels.circular => Some(0),
        _ => None,
    }
}
