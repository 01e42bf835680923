//! What the figures of the gain rest on, in sentences.

use super::{list, name, range};
use crate::gain::Gain;
use crate::report::rounding::{NO_BREAK_SPACE, fixed, signed};
use crate::trial::Trial;

/// What the figures rest on: the log's clock, the balance, the cube law.
pub fn gain_basis(analysis: &Trial) -> Vec<String> {
    let s = NO_BREAK_SPACE;
    let buys = &analysis.gain;
    let mut out: Vec<String> = Vec::new();
    if let Some(clock) = &buys.power.clock {
        let moved = format!(
            "The clock of the power log was moved by {}{s}s",
            signed(clock.offset_s, 0)
        );
        out.push(match (clock.correlation, clock.margin) {
            (Some(r), Some(margin)) => format!(
                "{moved}, where its draw best follows the boat’s speed (correlation {r:.2}; any other offset lies {margin:.2} or more below)."
            ),
            _ => format!("{moved}, as the notes say."),
        });
    }
    if let Some(volts) = buys.power.nominal_volts {
        let volts = fixed(volts, usize::from(volts.fract() != 0.0));
        out.push(format!(
            "Where the current alone was read, watts are nominal: amps times the battery’s stated {volts}{s}V. A battery under load gives less, so the true power may be some percent lower and a charge last that much longer; a comparison of like draws is hardly touched.",
        ));
    }
    if !buys.power.cells.is_empty() {
        out.push("Energy over distance is power over the speed that the comparison has corrected, in the mean wind of the setting.".to_owned());
    }
    for equal in &buys.power.equal_speed {
        match equal.method {
            Some("cube law") => out.push(format!(
                "Power of {} at equal speed follows from the changes of power and of corrected speed at equal setting, by the cube law; draws at two settings or more would say how power goes with speed on this boat.",
                name(&equal.changed)
            )),
            Some(_) => out.push(format!(
                "Power of {} at equal speed follows from the changes of power and of corrected speed at equal setting, power going with the power {} of speed.",
                name(&equal.changed),
                range(equal.exponent, 1)
            )),
            None => {}
        }
    }
    out.extend(curve_sentence(buys));
    out.extend(cube_sentence(buys));
    out.extend(buys.calm.assumption.iter().cloned());
    out
}

/// How power goes with speed, and what it means where that is not with the cube.
fn cube_sentence(buys: &Gain) -> Option<String> {
    let laws = &buys.propeller.cube_law;
    let told: Vec<String> = laws
        .iter()
        .map(|law| {
            format!(
                "{} with {}",
                range(law.exponent, 1),
                name(&law.configuration)
            )
        })
        .collect();
    let below = |law: &&crate::gain::CubeLaw| law.exponent.high.is_some_and(|high| high < 3.0);
    let meaning = if laws.iter().all(|law| law.cube) {
        "which holds the cube law, as usual"
    } else if laws.iter().filter(|law| !law.cube).all(|law| below(&law)) {
        "where the cube law has 3: less comes of a draw that is there at any speed, such as instruments’, of a propeller that slips, or of a meter read at unlike moments"
    } else {
        "where the cube law has 3: more comes of a hull near its hull speed or a motor near its limit, or of a meter read at unlike moments"
    };
    (!told.is_empty()).then(|| {
        format!(
            "Power goes with speed to the power of {}, {meaning}.",
            list(&told)
        )
    })
}

/// What the settings of equal speed are read off.
fn curve_sentence(buys: &Gain) -> Option<String> {
    let read = buys.equal_speed.settings.iter().any(|s| s.reason.is_none());
    read.then(|| "Settings of equal speed are read off the smooth rising curve through the corrected speeds; how it runs between the settings that were run is not measured.".to_owned())
}
