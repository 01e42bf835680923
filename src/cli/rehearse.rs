//! `thereback rehearse`: would the plan have shown it?

use std::io::{self, IsTerminal};
use std::path::Path;

use anyhow::{Result, bail};
use indicatif::{ProgressBar, ProgressStyle};
use thereback::plan::{
    Conditions, Plan, kept_days, rehearsal_chart, rehearsal_html, rehearsal_text, rehearse,
};
use thereback::report::OutputFile;
use thereback::simulate::{GpxStyle, Sample, SimulatedDay, samples};
use thereback::units::Speed;

use super::inputs::read_text;
use super::plan_args::PlanFormat;
use super::rehearse_args::RehearseArgs;
use super::{Outcome, output, plan, say};

pub(crate) fn run(args: &RehearseArgs) -> Result<Outcome> {
    if args.plan.is_none() && args.request.is_empty() {
        return match &args.save {
            Some(folder) => save_samples(folder),
            None => bail!(
                "there is nothing to rehearse\nhint: give what `thereback plan` takes, such as `--resolve 5% --speed 2.4kn`, or a plan with `--plan plan.json`; `--save samples` alone makes the sample days"
            ),
        };
    }
    let planned = match &args.plan {
        Some(path) => Plan::read(&read_text(path, "plan")?)?,
        None => plan::planned(&args.request)?,
    };
    let conditions = conditions(args);
    let bar = bar(args.times);
    let done = || bar.inc(1);
    let rehearsal = rehearse(&planned, &conditions, args.times, args.seed, &done)?;
    bar.finish_and_clear();
    let chart = rehearsal_chart(&planned, &rehearsal);
    let mut json = serde_json::to_string_pretty(&rehearsal)?;
    json.push('\n');
    let files = [
        file(
            "rehearsal.html",
            rehearsal_html(&planned, &rehearsal, &chart),
        ),
        file("power.svg", chart.svg()),
        file("rehearsal.json", json.clone()),
    ];
    output::write(&args.output, &files, args.plan.as_slice())?;
    if let Some(folder) = &args.save {
        let mut kept = Vec::new();
        for (change, day) in kept_days(&planned, &conditions, args.seed) {
            let name = format!("change_{:04.1}_percent", change * 100.0).replace('.', "_");
            kept.extend(day_files(&name, &day, GpxStyle::V1_1));
        }
        output::write(folder, &kept, &[])?;
    }
    match args.format {
        PlanFormat::Json => say::data(json.as_bytes())?,
        PlanFormat::Text => say::text(&format!(
            "{}\nPage: {}\n",
            rehearsal_text(&planned, &rehearsal),
            args.output.join("rehearsal.html").display()
        ))?,
    }
    Ok(Outcome::Found)
}

fn conditions(args: &RehearseArgs) -> Conditions {
    let usual = Conditions::default();
    Conditions {
        wind_m_s: args.rehearsed_wind.map(Speed::as_metres_per_second),
        gusts: args.gusts.unwrap_or(usual.gusts),
        growth_m_s_per_h: args
            .wind_grows
            .map(Speed::as_metres_per_second)
            .unwrap_or_default()
            - args
                .wind_falls
                .map(Speed::as_metres_per_second)
                .unwrap_or_default(),
        tide_m_s: args
            .tide
            .map(Speed::as_metres_per_second)
            .unwrap_or_default(),
        waves_m: args.waves,
        throttle: args.throttle.unwrap_or(usual.throttle),
        sag_per_h: args.sag.unwrap_or(usual.sag_per_h),
        sampling: args.record.unwrap_or(usual.sampling),
        decimals: args.decimals.unwrap_or(usual.decimals),
    }
}

fn save_samples(folder: &Path) -> Result<Outcome> {
    let files: Vec<OutputFile> = samples()
        .iter()
        .flat_map(Sample::files)
        .map(|(path, bytes)| OutputFile { path, bytes })
        .collect();
    output::write(folder, &files, &[])?;
    for file in &files {
        say::text(&format!("{}\n", folder.join(&file.path).display()))?;
    }
    Ok(Outcome::Found)
}

/// The track of a day, and its truth beside it.
fn day_files(name: &str, day: &SimulatedDay, style: GpxStyle) -> [OutputFile; 2] {
    [
        OutputFile {
            path: format!("{name}.gpx"),
            bytes: day.to_gpx(style),
        },
        file(&format!("{name}.truth.json"), day.truth_json()),
    ]
}

fn file(path: &str, text: String) -> OutputFile {
    OutputFile {
        path: path.to_owned(),
        bytes: text.into_bytes(),
    }
}

/// A bar on a terminal for the person who waits; nothing anywhere else.
fn bar(days: usize) -> ProgressBar {
    if !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(days as u64);
    // A template that cannot be read leaves the usual style.
    if let Ok(style) =
        ProgressStyle::with_template("rehearsing {wide_bar} {pos} of {len} days, {eta} left")
    {
        bar.set_style(style);
    }
    bar
}
