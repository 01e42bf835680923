//! How it was measured, in words an angler can follow, with where each step comes from.

use crate::analysis::Analysis;
use crate::report::rounding::{NO_BREAK_SPACE, fixed};

/// One step of the way from track to answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Topic {
    /// A few words.
    pub title: &'static str,
    /// A paragraph.
    pub text: String,
}

/// The steps in order.
pub fn method(analysis: &Analysis) -> Vec<Topic> {
    let s = NO_BREAK_SPACE;
    let topic = |title, text: &str| Topic {
        title,
        text: text.to_owned(),
    };
    let settling = analysis
        .settling_distance_m
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
                "The track is cut into straight stretches by fitting straight lines to position against time, with as few cuts as the fit allows. A stretch on one steady heading is a leg. Its first part, while the boat still gathers speed after the turn, is the approach and is not measured; the rest is the steady part.{settling} Turns belong to no leg. What was run, trolled or drifted on one heading is listed as a leg, but without a partner on its line it counts for nothing in the comparison."
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
            "Speeds are compared as ratios, on the log scale, so that a percent means the same at every setting. How much two double runs of the very same thing differ is taken from all of them together, and Student’s t turns it into a 95\u{a0}% interval: in 95 of 100 such trials an interval made this way holds the true change. The verdict follows from the interval alone: faster where all of it lies above zero, slower where all of it lies below, not shown where it holds zero.",
        ),
    ];
    if analysis.wind_covariate.as_ref().is_some_and(|c| c.applied) {
        topics.push(topic(
            "One wind for all",
            "Wind against a boat costs it more than the same wind behind it gives back, so the mean of the two directions lies below the speed in a calm, and a wind that grew between the old part and the new would look like a slower boat. The wind log tells how it blew during each double run; readings of half an hour to either side are smoothed, since gusts at its place are not those on the boat. Thrust, the drag of the hull and that of the air, both with the square of the speed, are balanced for each double run in the logged wind along and across its line. That tells what its mean would have been in the mean of the logged winds. How much the air holds this boat back is not known beforehand, nor how the wind on the boat stands to that of the log. Many values are tried; those that make repeated runs agree best count the most, and the interval is wider for the doubt that is left (analysis of covariance) and for a tenth of what all this moves the change by, since the balance is a model. A current does no harm: the mean of the two directions takes it out, and where it changed through the trial, as a tide does, what it changed by from one leg of a double run to the other is read from the half differences of all runs and taken out too.",
        ));
    } else if analysis.gauge.applied {
        topics.push(topic(
            "One wind for all",
            "In still water the two speeds of a double run differ by the wind alone, and wind against the boat costs it more than the same wind behind it gives back: the mean of the two lies below the speed in a calm. So a wind that grew between the old part and the new would look like a slower boat. Thrust, the drag of the hull and that of the air, both with the square of the speed, are balanced for each double run. That tells the wind of the run, and what its mean would have been in the mean wind of the trial. How much the air holds this boat back is not known beforehand. Many values are tried; those that make repeated runs agree best count the most, and the interval is wider for the doubt that is left and for a tenth of what all this moves the change by, since the balance is a model. It takes for granted that no current to speak of ran along the line.",
        ));
    }
    let hidden = (analysis.comparisons.iter()).any(|c| c.hidden_wind_percent.is_some());
    if analysis.gauge.beside_current.is_some() {
        topics.push(topic(
            "Wind and current apart",
            "Where a current may make the two speeds of a double run differ, the difference by itself no longer tells the wind, and a wind that grew between the configurations would pass for a slower boat. But a current carries the boat alike at every setting and changes slowly, as a tide does; a wind moves the boat more the slower it goes, and lowers the mean of both directions besides. So one wind, growing or falling as a share of itself with a slow swell upon it, one current, steady and with the moon’s tide, one share of wind drag to hull drag and one thrust for each configuration and setting are fitted to all runs together. What is usual of each is assumed beforehand, as far as the rules in result.json say, and the runs decide how much of that stands; from which end the wind came is averaged over. The configurations are compared in the wind of the middle of the trial and in no current, and the interval is wider for all that the runs leave open and for a tenth of what all this moves the change by. A current that moves otherwise than a tide is not foreseen.",
        ));
    } else if hidden {
        topics.push(topic(
            "A wind behind a current",
            "Where a current makes the two speeds of a double run differ, they no longer tell the wind, and a wind that grew between the configurations would pass for a slower boat. It cannot be taken out, so it is allowed for: the mean wind of one half of a trial is taken to differ from that of the other by a quarter, as one standard deviation, in the wind that was given or else in a gentle breeze, and by the balance of thrust and drag that becomes so many percent of the speed. The nearer to each other in time the configurations were run, the less it is.",
        ));
    }
    if !analysis.days.is_empty() {
        topics.push(topic(
            "Several days",
            "Each day is measured and compared by itself, in its own wind. The days’ changes are then pooled by random effects: each day is taken to have a true change of its own, scattered about a common one, and weighs by how well it is known. The spread between days is estimated after Paule and Mandel (1982), and the interval is the wider of the modified form of Hartung and Knapp (2001) and the normal one, since a handful of days that happen to agree prove little. The classic method of DerSimonian and Laird (1986) stands beside it for comparison.",
        ));
    }
    topics
}

/// What the answer takes for granted.
pub fn assumptions() -> [&'static str; 6] {
    [
        "Between configurations nothing was changed but the part compared: same load, same people in the same places, same trim (unless the trim is what was compared), same battery or fuel.",
        "A setting meant the same power each time it was run.",
        "Wind and current held steady over each double run, or changed evenly. The mean of the two directions is exact for a steady current; for wind on the hull the root mean square of the two lies closer, and both stand in the data.",
        "The water was deep enough, and alike for all runs.",
        "Pooled over settings, the change is taken to be the same in percent at each of them.",
        "Speed is over the ground; the water itself was not measured.",
    ]
}

/// Published sources of the steps.
pub fn sources() -> [&'static str; 5] {
    [
        "Double runs at one power on one line, and the mean of means: ITTC Recommended Procedure 7.5-04-01-01.1, Preparation, Conduct and Analysis of Speed/Power Trials, and ISO 15016. Both are written for ships of 50 m and more; only the principle is taken from them.",
        "Mean of means for a current that changes with time: E. C. Tupper, Introduction to Naval Architecture, chapter 9.",
        "Cutting the track: R. Killick, P. Fearnhead and I. A. Eckley, Optimal detection of changepoints with a linear computational cost, Journal of the American Statistical Association 107, 2012.",
        "Why the path from fix to fix is too long: P. Ranacher and others, Why GPS makes distances bigger than they are, International Journal of Geographical Information Science 30, 2016.",
        "The t interval: Student, The probable error of a mean, Biometrika 6, 1908.",
    ]
}
