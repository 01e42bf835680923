//! How it was measured: five sentences for the article, and the steps with their sources.

use super::order::{course_lines, series};
use super::wind::taken_out_in_short;
use super::{counted, headline_comparisons, wind};
use crate::report::rounding::{NO_BREAK_SPACE, fixed};
use crate::trial::{GroupSource, Trial};

/// How it was done, in five sentences: what was run and in what order, in what weather, what was done
/// about it, how speed was measured, how it was compared.
pub(crate) fn in_short(trial: &Trial) -> Vec<String> {
    let runs = counted(trial.double_runs.len(), "double run", "double runs");
    let settings = counted(trial.settings.len(), "power setting", "power settings");
    let series = series(trial).join("; ");
    let order = match trial
        .configurations
        .iter()
        .all(|c| c.source == GroupSource::Notes)
    {
        _ if trial.configurations.len() < 2 => String::new(),
        true => format!(": {series}"),
        false => format!(" (as the track was read: {series})"),
    };
    let lines = course_lines(trial);
    let mut out = vec![
        format!("The boat ran there and back{lines} at {settings}, {runs} in all{order}."),
        wind(trial),
    ];
    if !headline_comparisons(trial).is_empty() {
        out.extend(
            trial
                .adjustment
                .map(|adjustment| taken_out_in_short(adjustment).to_owned()),
        );
    }
    out.push("Each speed is the slope of distance against time, once the boat had settled after the turn; the mean of both directions is close to the boat’s own.".to_owned());
    if !headline_comparisons(trial).is_empty() {
        out.push(format!(
            "One statistical model compares all runs; its 95{NO_BREAK_SPACE}% interval allows for how much runs of the same thing differed."
        ));
    }
    out
}

/// The steps in order: a few words and a paragraph each.
pub(crate) fn method(trial: &Trial) -> Vec<(&'static str, String)> {
    let s = NO_BREAK_SPACE;
    let settling = (trial.days.iter().find_map(|day| day.settling_distance_m))
        .filter(|metres| metres.is_finite() && *metres > 0.0)
        .map_or_else(String::new, |metres| {
            format!(
                " This boat makes up two thirds of the speed it lost in a turn within about {}{s}m of the turn’s end; the approach is as long as it takes until all but a hundredth is made up, and {}{s}s at the least.",
                fixed(metres, 0),
                fixed(trial.rules.segment.approach.shortest_s, 0),
            )
        });
    let mut steps: Vec<(&'static str, String)> = vec![
        ("There and back", THERE_AND_BACK.to_owned()),
        ("Legs", format!("{LEGS}{settling}")),
        ("The speed of a leg", SPEED_OF_A_LEG.to_owned()),
        ("The comparison", COMPARISON.to_owned()),
        ("The model", MODEL.to_owned()),
        ("Wind and current", WIND_AND_CURRENT.to_owned()),
    ];
    if trial.days.len() > 1 {
        steps.push(("Several days", SEVERAL_DAYS.to_owned()));
    }
    steps
}

const THERE_AND_BACK: &str = "Wind and current carry a boat along. Run the same line both ways and what helps one way hinders the other, so the mean of the two speeds is close to the boat’s own: exactly so for a current, a little below it in a wind. Two such legs, neighbours in time, with nothing changed between them, are a double run. Speeds are averaged, never times: a boat that makes 6\u{a0}kn one way and 4\u{a0}kn back goes 5\u{a0}kn through the water, though its two times over a mile would make it 4.8.";

const LEGS: &str = "A leg is a heading held. The track is cut where its course changes, by one search over all headings at once, at the least total cost of misfit and turns; a step in speed that lasts, or a stop, ends a leg too. Its first part, while the boat still gathers speed after the turn, is the approach and is not measured; the rest is the steady part. A leg without a partner on its line counts for nothing in the comparison.";

const SPEED_OF_A_LEG: &str = "Distance made good along the course line is set against time, and a straight line fitted to all fixes of the steady part by least squares: its slope is the speed. The speeds the recorder wrote are not used, nor are the distances from fix to fix added up, since errors of position make that path too long. Fixes one second apart share the same gust and the same error of position; the standard error of each speed allows for that (autocorrelation).";

const COMPARISON: &str = "All double runs are compared by one model of the logarithm of their speeds, so that a percent means the same at every setting. What is usual of each of its terms is assumed beforehand; the double runs decide how much of that remains. Every figure with its 95\u{a0}% interval is read from the one result (the posterior). The verdict follows from the interval alone: faster where all of it is above zero, slower where all of it is below, not shown where it holds zero; from a single double run nothing is claimed.";

const MODEL: &str = "log(speed) = level of the setting + change of the part (+ a little for the part at that setting) + line + day + wind slope × (|half difference| / speed, less its mean at the setting) + rate × hours + lever + noise. Every term has a normal prior; one run in fifty may have gone wrong, and the lever is common to the runs of one part and setting that follow each other. The result averages over what makes the half differences (wind or current), three trends through the day, and the size of the scatter. Priors with their reasons, the design matrix and the posterior are in result.json under `model`.";

const WIND_AND_CURRENT: &str = "Wind against a boat costs it more than the same wind behind it gives back, so the mean of the two directions is below the speed in a calm, and a wind that grew between the old part and the new would look like a slower boat. A current carries the boat alike at every setting; a wind moves it more the slower it goes. How well each explains the half differences of the day gives its probability, and the comparison averages over both. A current that changed between the two legs of a double run leaves half of that change in their mean, which is taken out with its error.";

const SEVERAL_DAYS: &str = "The double runs of all days enter the same model. Each day has a speed of its own, each setting may have been set a little differently, and the change may differ a little from day to day; the interval allows for all three.";

/// What the answer takes for granted.
pub(crate) fn assumptions() -> [&'static str; 6] {
    [
        "Between configurations nothing was changed but the part compared: same load, same people in the same places, same trim (unless the trim is what was compared), same battery or fuel.",
        "A setting meant nearly the same power each time it was run.",
        "Wind and current held steady over each double run, or changed evenly from one leg to the other.",
        "The water was deep enough, and alike for all runs.",
        "Pooled over settings, the change is nearly the same in percent at each of them.",
        "Speed is over the ground, unless speed through the water was recorded.",
    ]
}

/// Published sources of the steps.
pub(crate) fn sources() -> [&'static str; 5] {
    [
        "Double runs at one power on one line: ITTC Recommended Procedure 7.5-04-01-01.1, Preparation, Conduct and Analysis of Speed/Power Trials, and ISO 15016. Both are written for ships of 50 m and more; only the principle is taken from them.",
        "A drift that changes with time: C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, chapters 2 and 5; for legs at equal intervals, the mean of means in E. C. Tupper, Introduction to Naval Architecture, chapter 9.",
        "Cutting the track: A. J. Viterbi, Error bounds for convolutional codes and an asymptotically optimum decoding algorithm, IEEE Transactions on Information Theory 13, 1967.",
        "Why the path from fix to fix is too long: P. Ranacher and others, Why GPS makes distances bigger than they are, International Journal of Geographical Information Science 30, 2016.",
        "The comparison: D. V. Lindley and A. F. M. Smith, Bayes estimates for the linear model, Journal of the Royal Statistical Society B 34, 1972; runs that went wrong: G. E. P. Box and G. C. Tiao, A Bayesian approach to some outlier problems, Biometrika 55, 1968.",
    ]
}
