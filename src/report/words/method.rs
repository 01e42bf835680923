//! How it was measured, in words an angler can follow, with where each step comes from.

use crate::report::rounding::{NO_BREAK_SPACE, fixed};
use crate::trial::Trial;

/// One step of the way from track to answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Topic {
    /// A few words.
    pub title: &'static str,
    /// A paragraph.
    pub text: String,
}

/// The steps in order.
pub fn method(analysis: &Trial) -> Vec<Topic> {
    let s = NO_BREAK_SPACE;
    let topic = |title, text: &str| Topic {
        title,
        text: text.to_owned(),
    };
    let settling = analysis
        .day().and_then(|day| day.settling_distance_m)
        .filter(|metres| metres.is_finite() && *metres > 0.0)
        .map_or_else(String::new, |metres| {
            format!(
                " This boat makes up two thirds of the speed it lost in a turn within about {}{s}m of the turn’s end; the approach is as long as it takes until all but a hundredth is made up, and {shortest}{s}s at the least.",
                fixed(metres, 0),
                shortest = fixed(analysis.rules.segment.approach.shortest_s, 0),
            )
        });
    let mut topics = vec![
        topic(
            "There and back",
            "Wind and current carry a boat along. Run the same line both ways and what helps one way hinders the other, so the mean of the two speeds is close to the boat’s own: exactly so for a current, a little below it in a wind. Two such legs, neighbours in time, with nothing changed between them, are a double run. Speeds are averaged, never times: a boat that makes 6\u{a0}kn one way and 4\u{a0}kn back goes 5\u{a0}kn through the water, though its two times over a mile would make it 4.8.",
        ),
        Topic {
            title: "Legs",
            text: format!(
                "A leg is a heading held. The track is cut where its course changes, by one search over all headings at once, at the least total cost of misfit and turns; a step in speed that lasts, or a stop, ends a leg too. Its first part, while the boat still gathers speed after the turn, is the approach and is not measured; the rest is the steady part.{settling} Turns belong to no leg. What was run, trolled or drifted on one heading is listed as a leg, but without a partner on its line it counts for nothing in the comparison."
            ),
        },
        topic(
            "The speed of a leg",
            "Distance made good along the course line is set against time, and a straight line laid through all fixes of the steady part by least squares: its slope is the speed. The speed figures the recorder wrote are not used, nor are the distances from fix to fix added up, since errors of position make that path longer than the way the boat went.",
        ),
        topic(
            "How sure a leg is",
            "Fixes one second apart share the same gust and the same error of position, so a hundred of them do not tell a hundred things. The standard error of each speed allows for that (autocorrelation).",
        ),
        topic(
            "The comparison",
            "All double runs are compared by one model of the logarithm of their speeds, so that a percent means the same at every setting: a level for each setting, a change for each part, what wind and current did as far as the half differences (or a wind log) show it, a slow drift of the conditions through the day, how well the lever was set each time (common to the runs of one part and setting that follow each other), and scatter. What is usual of each is assumed beforehand, as the rules in result.json say; the double runs decide how much of that remains. Every figure with its 95\u{a0}% interval is read from the one result (the posterior). The verdict follows from the interval alone: faster where all of it lies above zero, slower where all of it lies below, not shown where it holds zero; from a single double run nothing is claimed.",
        ),
        topic(
            "Wind and current",
            "Wind against a boat costs it more than the same wind behind it gives back, so the mean of the two directions lies below the speed in a calm, and a wind that grew between the old part and the new would look like a slower boat. A current carries the boat alike at every setting; a wind moves it more the slower it goes. How well each explains the half differences of the day gives its probability, and the comparison averages over both. A current that changed between the two legs of a double run leaves half of that change in their mean, which is taken out with its error.",
        ),
    ];
    if analysis.days.len() > 1 {
        topics.push(topic(
            "Several days",
            "The double runs of all days enter the same model. Each day has a speed of its own, each setting may have been set a little differently, and the change may differ a little from day to day; the interval allows for all three.",
        ));
    }
    topics
}

/// What the answer takes for granted.
pub fn assumptions() -> [&'static str; 6] {
    [
        "Between configurations nothing was changed but the part compared: same load, same people in the same places, same trim (unless the trim is what was compared), same battery or fuel.",
        "A setting meant nearly the same power each time it was run.",
        "Wind and current held steady over each double run, or changed evenly from one leg to the other.",
        "The water was deep enough, and alike for all runs.",
        "Pooled over settings, the change is taken to be nearly the same in percent at each of them.",
        "Speed is over the ground, unless speed through the water was recorded.",
    ]
}

/// Published sources of the steps.
pub fn sources() -> [&'static str; 5] {
    [
        "Double runs at one power on one line: ITTC Recommended Procedure 7.5-04-01-01.1, Preparation, Conduct and Trial of Speed/Power Trials, and ISO 15016. Both are written for ships of 50 m and more; only the principle is taken from them.",
        "A drift that changes with time: C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, chapters 2 and 5; for legs at equal intervals, the mean of means in E. C. Tupper, Introduction to Naval Architecture, chapter 9.",
        "Cutting the track: A. J. Viterbi, Error bounds for convolutional codes and an asymptotically optimum decoding algorithm, IEEE Transactions on Information Theory 13, 1967.",
        "Why the path from fix to fix is too long: P. Ranacher and others, Why GPS makes distances bigger than they are, International Journal of Geographical Information Science 30, 2016.",
        "The comparison: D. V. Lindley and A. F. M. Smith, Bayes estimates for the linear model, Journal of the Royal Statistical Society B 34, 1972; runs that went wrong: G. E. P. Box and G. C. Tiao, A Bayesian approach to some outlier problems, Biometrika 55, 1968.",
    ]
}
