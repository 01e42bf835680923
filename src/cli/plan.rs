//! `thereback plan`: before the day.

use anyhow::{Context, Result, bail};
use thereback::plan::{Earlier, Plan, Request, card_html, card_md, draw_up, notes_toml, text};
use thereback::report::OutputFile;
use thereback::units::Speed;

use super::inputs::read_text;
use super::plan_args::{PlanArgs, PlanFormat, RequestArgs};
use super::{Outcome, notes_file, output, say};

pub(crate) fn run(args: &PlanArgs) -> Result<Outcome> {
    let plan = planned(&args.request)?;
    let place = notes_file::place(&args.output)?;
    let file = |path: &str, text: String| OutputFile {
        path: path.to_owned(),
        bytes: text.into_bytes(),
    };
    let files = [
        file("card.html", card_html(&plan)),
        file("card.md", card_md(&plan)),
        file("plan.json", plan.json()),
        file(&place.name, notes_file::stamped(&notes_toml(&plan))),
    ];
    output::write(&args.output, &files, args.request.from.as_slice())?;
    match args.format {
        PlanFormat::Json => say::data(plan.json().as_bytes())?,
        PlanFormat::Text => say::text(&format!(
            "{}\nCard:  {}\nNotes: {}\n",
            text(&plan),
            args.output.join("card.html").display(),
            args.output.join(&place.name).display(),
        ))?,
    }
    if !place.kept.is_empty() {
        say::note(format!(
            "`{}` was edited and stays as it is; the notes as planned now are in `{}`",
            args.output.join(place.kept.join("` and `")).display(),
            args.output.join(&place.name).display(),
        ));
    }
    if plan.suffices {
        return Ok(Outcome::Found);
    }
    say::warning(
        "the time does not suffice for the change asked for\nhint: see what would do, or ask for a larger change with --resolve",
    );
    Ok(Outcome::NothingToMeasure)
}

/// The plan for what is asked.
pub(crate) fn planned(args: &RequestArgs) -> Result<Plan> {
    Ok(draw_up(&request(args)?)?)
}

fn request(args: &RequestArgs) -> Result<Request> {
    let Some(resolve) = args.resolve else {
        bail!(
            "the smallest change worth knowing is not given\nhint: give it with `--resolve`, such as `--resolve 5%`"
        );
    };
    let earlier = match &args.from {
        None => None,
        Some(path) => {
            let text = read_text(path, "result")?;
            let name = path.file_name().unwrap_or(path.as_os_str());
            let earlier = Earlier::read(&text, &name.to_string_lossy())
                .with_context(|| format!("cannot read `{}`", path.display()))?;
            Some(earlier)
        }
    };
    let usual = Request::default();
    Ok(Request {
        title: args.title.clone(),
        resolve,
        power: args.chance.unwrap_or(usual.power),
        speeds_m_s: args
            .speeds
            .iter()
            .map(|s| s.as_metres_per_second())
            .collect(),
        parts: if args.parts.is_empty() {
            usual.parts
        } else {
            args.parts.clone()
        },
        water_m: args.water,
        time_s: args.time,
        wind_from: args.wind_from,
        wind_m_s: args.wind_speed.map(Speed::as_metres_per_second),
        axis: args.axis,
        mass_kg: args.mass,
        earlier,
        swap_s: args.swap,
        draws_w: args.draws.clone(),
        battery_wh: args.battery,
        start: args.start,
        units: args.units.unwrap_or_default(),
    })
}
