//! What was noted of power, battery and the way home, written back.

use std::fmt::Write as _;

use super::clock::Clock;
use super::energy::{Draw, EnergyNotes};
use super::write::quoted;

/// Pitch of a configuration as a line, where it was noted.
pub(super) fn pitch(energy: &EnergyNotes, configuration: &str) -> String {
    let noted = energy
        .pitches
        .iter()
        .find(|p| p.configuration == configuration);
    noted.map_or_else(String::new, |p| {
        let mm = (p.pitch_m * 1e6).round() / 1e3;
        format!("pitch = \"{mm} mm\"\n")
    })
}

/// The tables of [`EnergyNotes`] that hold anything; empty where none does.
pub(super) fn sections(energy: &EnergyNotes, clock: &Clock) -> String {
    let mut out = String::new();
    let log = &energy.log;
    if log.log.is_some() || log.clock_offset.is_some() {
        out.push_str("\n[power]\n");
        if let Some(name) = &log.log {
            // The name was relative to the notes it stood in, which may lie in another folder.
            let _ = write!(
                out,
                "# The log was {}: name it from here, or give it with --power-log.\n# log = \"...\"\n",
                quoted(name)
            );
        }
        if let Some(offset) = log.clock_offset {
            let _ = writeln!(out, "clock_offset = {}", quoted(&format!("{offset:#}")));
        }
    }
    if let Some(battery) = energy.battery {
        out.push_str("\n[battery]\n");
        number(&mut out, "amp_hours", battery.amp_hours);
        number(&mut out, "volts", battery.volts);
        number(&mut out, "watt_hours", battery.watt_hours);
        share(&mut out, "usable", battery.usable);
    }
    let motor = energy.motor;
    if motor.limit_watts.is_some() || motor.limit_amps.is_some() {
        out.push_str("\n[motor]\n");
        number(&mut out, "limit_watts", motor.limit_watts);
        number(&mut out, "limit_amps", motor.limit_amps);
    }
    if let Some(home) = energy.home {
        out.push_str("\n[home]\n");
        number(&mut out, "lat", Some(home.position.latitude()));
        number(&mut out, "lon", Some(home.position.longitude()));
        share(&mut out, "reserve", home.reserve);
    }
    for reading in &energy.readings {
        let _ = write!(
            out,
            "\n[[reading]]\nconfiguration = {}\nsetting = {}\n",
            quoted(&reading.configuration),
            quoted(&reading.setting)
        );
        draw(&mut out, reading.draw);
        number(&mut out, "rpm", reading.rpm);
    }
    for leg in &energy.legs {
        let _ = write!(out, "\n[[leg]]\nat = {}\n", quoted(&clock.text(leg.at)));
        draw(&mut out, leg.draw);
    }
    out
}

fn draw(out: &mut String, draw: Draw) {
    number(out, "watts", draw.watts);
    number(out, "volts", draw.volts);
    number(out, "amps", draw.amps);
}

fn number(out: &mut String, key: &str, value: Option<f64>) {
    if let Some(value) = value {
        let _ = writeln!(out, "{key} = {value}");
    }
}

fn share(out: &mut String, key: &str, value: Option<f64>) {
    if let Some(value) = value {
        // Enough digits for any share a person would write, none of the rounding.
        let percent = (value * 1e8).round() / 1e6;
        let _ = writeln!(out, "{key} = \"{percent} %\"");
    }
}
