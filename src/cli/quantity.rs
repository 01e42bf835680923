//! Quantities as people type them: a number and its unit.

/// Units with their size in the SI unit.
type Units = &'static [(&'static str, f64)];

const LENGTHS: Units = &[
    ("m", 1.0),
    ("km", 1000.0),
    ("cm", 0.01),
    ("ft", thereback::units::METRES_PER_FOOT),
    ("mi", thereback::units::METRES_PER_MILE),
    ("nmi", thereback::units::METRES_PER_NAUTICAL_MILE),
];
const SPANS: Units = &[("s", 1.0), ("min", 60.0), ("h", 3600.0)];
/// The pound is exact (NIST SP 811, B.8).
const MASSES: Units = &[("kg", 1.0), ("lb", 0.453_592_37)];
const POWERS: Units = &[("W", 1.0), ("kW", 1000.0)];
const ENERGIES: Units = &[("Wh", 1.0), ("kWh", 1000.0)];
const SHARES: Units = &[("%", 0.01)];

/// A length in metres: `900m`, `0.5 nmi`.
pub(crate) fn length(text: &str) -> Result<f64, String> {
    one(text, "length", LENGTHS, "900m")
}

/// A mass in kilograms: `345kg`, `760 lb`.
pub(crate) fn mass(text: &str) -> Result<f64, String> {
    one(text, "mass", MASSES, "345kg")
}

/// A power in watts: `400W`, `1.2 kW`.
pub(crate) fn power(text: &str) -> Result<f64, String> {
    one(text, "power", POWERS, "400W")
}

/// An energy in watt hours: `1200Wh`, `1.2 kWh`.
pub(crate) fn energy(text: &str) -> Result<f64, String> {
    one(text, "energy", ENERGIES, "1200Wh")
}

/// A share: `5%`.
pub(crate) fn share(text: &str) -> Result<f64, String> {
    one(text, "percentage", SHARES, "5%")
}

/// A span of time in seconds: `3h`, `90min`, `2h30min`.
pub(crate) fn span(text: &str) -> Result<f64, String> {
    let mut rest = text.trim();
    let mut sum = 0.0;
    while !rest.is_empty() {
        let unit_at = rest.find(char::is_alphabetic).unwrap_or(rest.len());
        let after = rest.get(unit_at..).unwrap_or_default();
        let end = after
            .find(|c: char| !c.is_alphabetic())
            .map_or(rest.len(), |length| unit_at + length);
        let (part, further) = rest.split_at(end);
        sum += one(part, "time", SPANS, "2h30min")?;
        rest = further.trim_start();
    }
    if text.trim().is_empty() {
        return one(text, "time", SPANS, "2h30min");
    }
    Ok(sum)
}

fn one(text: &str, what: &str, units: Units, example: &str) -> Result<f64, String> {
    let trimmed = text.trim();
    let split = trimmed
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-')))
        .unwrap_or(trimmed.len());
    let (number, unit) = trimmed.split_at(split);
    let names: Vec<String> = units.iter().map(|(name, _)| format!("`{name}`")).collect();
    let hint = format!("write it like `{example}`; units: {}", names.join(", "));
    let value: f64 = number
        .replace(',', ".")
        .parse()
        .map_err(|_| format!("`{text}` is no {what}\nhint: {hint}"))?;
    let unit = unit.trim();
    let size = units
        .iter()
        .find(|(name, _)| name.eq_ignore_ascii_case(unit))
        .map(|(_, size)| *size)
        .ok_or_else(|| {
            if unit.is_empty() {
                format!("`{text}` has no unit\nhint: {hint}")
            } else {
                format!("`{unit}` is no unit of a {what}\nhint: {hint}")
            }
        })?;
    Ok(value * size)
}

#[cfg(test)]
mod tests {
    use super::{energy, length, mass, share, span};

    #[test]
    fn quantities_as_typed() {
        let near = |got: Result<f64, String>, want: f64| {
            assert!(
                got.as_ref().is_ok_and(|v| (v - want).abs() < 1e-9),
                "{got:?} for {want}"
            );
        };
        near(length("900m"), 900.0);
        near(length("0,5 nmi"), 926.0);
        near(span("2h30min"), 9000.0);
        near(span("2 h 30 min"), 9000.0);
        near(span("45min"), 2700.0);
        near(mass("100 lb"), 45.359_237);
        near(energy("1.2 kWh"), 1200.0);
        near(share("5%"), 0.05);
    }

    #[test]
    fn what_is_none_is_told_with_a_hint() {
        for bad in [
            length("900"),
            length("m"),
            length("9 furlongs"),
            span("soon"),
            span(""),
            share("5"),
            span("3"),
        ] {
            assert!(
                bad.as_ref().is_err_and(|e| e.contains("\nhint: ")),
                "{bad:?}"
            );
        }
    }
}
