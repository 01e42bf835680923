//! The setting of equal speed, by names.

use super::known::Known;
use super::result::{Curve, EqualSetting, EqualSpeed};
use crate::trial::buys::equal_speed::{curves, equal_settings};

pub(super) fn equal_speed(known: &Known<'_>) -> EqualSpeed {
    let percents = &known.counted.assigned.percents;
    let runs = &known.counted.speeds;
    let fitted = curves(runs, percents, known.level());
    let settings: Vec<EqualSetting> = equal_settings(runs, percents, &fitted, known.level())
        .into_iter()
        .map(|found| EqualSetting {
            baseline: known.configuration(0),
            changed: known.configuration(found.changed),
            setting: known.setting(found.setting),
            percent: found.percent,
            speed_m_s: found.speed,
            changed_percent: found.changed_percent,
            interpolated_percent: found.interpolated_percent.value,
            interpolated_low_percent: found.interpolated_percent.low,
            interpolated_high_percent: found.interpolated_percent.high,
            power_law_holds: fitted
                .iter()
                .find(|c| c.configuration == found.changed)
                .and_then(|c| c.holds),
            reason: found.reason.map(str::to_owned),
        })
        .collect();
    let noted = percents.iter().flatten().count();
    let reason = if !settings.is_empty() {
        None
    } else if noted < 2 {
        Some(
            "Which setting of the new part gives the old one's speed takes two settings or more whose percent is in the notes: `percent = 50` under [[setting]].",
        )
    } else {
        Some("No changed configuration was run at two settings of known percent.")
    };
    EqualSpeed {
        curves: fitted
            .iter()
            .map(|curve| Curve {
                configuration: known.configuration(curve.configuration),
                from_percent: curve.range[0],
                to_percent: curve.range[1],
                factor_m_s: curve.factor,
                exponent: curve.exponent,
                power_law_holds: curve.holds,
            })
            .collect(),
        settings,
        reason: reason.map(str::to_owned),
    }
}
