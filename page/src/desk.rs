//! What lies on the desk between two calls: files as read, the analysis, and what was made of it.

use std::fmt::Display;
use std::mem::take;

use thereback::day::wind_log::WindLog;
use thereback::gain::power_log::PowerLog;
use thereback::notes;
use thereback::notes::photo::Image;
use thereback::plan::{self, Request};
use thereback::report::{self, ChartForm, OutputFile, data};
use thereback::track::Recording;
use thereback::trial::{ReadTrial, Rules, Settings, Trial};
use thereback::{parser, plotter};

use crate::drawing;

/// Files as read, and what the last call made.
#[derive(Default)]
pub struct Desk {
    /// What the page wrote for the next call.
    pub input: Vec<u8>,
    /// What the last call made.
    pub outputs: Vec<OutputFile>,
    tracks: Vec<Recording>,
    winds: Vec<WindLog>,
    powers: Vec<PowerLog>,
    photos: Vec<(String, Image)>,
    /// The tracks as read; notes are asked of a copy.
    days: Option<ReadTrial>,
    trial: Option<Trial>,
}

/// The name that notes have in messages, and as a file.
const NOTES: &str = "notes.toml";

const FAILED: u32 = 0;
const DONE: u32 = 1;
const WIND: u32 = 2;
const POWER: u32 = 3;
const PHOTO: u32 = 4;

impl Desk {
    pub fn forget(&mut self) {
        *self = Self::default();
    }

    pub fn read(&mut self, name_length: usize) -> u32 {
        let mut name = take(&mut self.input);
        let bytes = name.split_off(name_length.min(name.len()));
        let name = String::from_utf8_lossy(&name).into_owned();
        let (kind, said) = match parser::read(&bytes, &name) {
            Ok(track) => {
                self.tracks.push(track);
                self.days = None;
                (DONE, String::new())
            }
            Err(error) => self
                .read_beside(&bytes, &name)
                .unwrap_or((FAILED, error.to_string())),
        };
        self.put("said", said);
        kind
    }

    /// Which log a table is shows in its header: each reader refuses what is not its own.
    fn read_beside(&mut self, bytes: &[u8], name: &str) -> Option<(u32, String)> {
        if let Ok(photo) = Image::read(bytes) {
            self.photos.push((name.to_owned(), photo));
            return Some((PHOTO, String::new()));
        }
        if let Ok(log) = parser::read_wind_log(bytes, name) {
            self.winds.push(log);
            return Some((WIND, String::new()));
        }
        let log = parser::read_power_log(bytes, name).ok()?;
        self.powers.push(log);
        Some((POWER, String::new()))
    }

    pub fn analyse(&mut self) -> u32 {
        let text = String::from_utf8_lossy(&take(&mut self.input)).into_owned();
        self.trial = None;
        let made = self.analysed_with(&text);
        self.done(made)
    }

    /// What the notes ask for. A log or a photograph counts where they name it, as on the command line.
    fn settings(&self, text: &str) -> Result<Settings, String> {
        let mut notes = notes::read(text, NOTES).map_err(words)?;
        if let Some(photo) = &mut notes.story.photo {
            let named = of_name(&self.photos, |(file, _)| file, &photo.file)?;
            photo.image = Some(named.1);
        }
        let wind =
            (notes.wind.log.as_ref()).map(|name| of_name(&self.winds, |log| &log.file, name));
        let power = notes.energy.log.log.as_ref();
        let power = power.map(|name| of_name(&self.powers, |log| &log.file, name));
        Ok(Settings {
            wind_log: wind.transpose()?,
            power_log: power.transpose()?,
            notes: Some(notes),
            ..Settings::default()
        })
    }

    fn analysed_with(&mut self, text: &str) -> Result<Vec<OutputFile>, String> {
        let settings = match text.trim() {
            "" => Settings::default(),
            _ => self.settings(text)?,
        };
        let tracks = &self.tracks;
        let read = || ReadTrial::of(tracks.clone(), &Rules::default());
        let trial = self.days.get_or_insert_with(read).clone().answer(&settings);
        let given = settings.notes.unwrap_or_default();
        let (drawing, numbers) = drawing::of(&trial);
        let outputs = vec![
            file("result.json", data::result_json(&trial).map_err(words)?),
            file(NOTES, data::notes_toml(&trial, &given)),
            file("drawing.json", drawing),
            file("drawing", numbers),
        ];
        self.trial = Some(trial);
        Ok(outputs)
    }

    pub fn write(&mut self) -> u32 {
        let made = match &self.trial {
            Some(trial) => written(trial),
            None => Err("there is nothing to write up yet\nhint: drop a track first".to_owned()),
        };
        self.done(made)
    }

    pub fn plan(&mut self) -> u32 {
        let made = planned(&take(&mut self.input));
        self.done(made)
    }

    fn put(&mut self, name: &str, bytes: impl Into<Vec<u8>>) {
        self.outputs = vec![file(name, bytes)];
    }

    fn done(&mut self, made: Result<Vec<OutputFile>, String>) -> u32 {
        match made {
            Ok(outputs) => {
                self.outputs = outputs;
                DONE
            }
            Err(said) => {
                self.put("said", said);
                FAILED
            }
        }
    }
}

fn file(path: &str, bytes: impl Into<Vec<u8>>) -> OutputFile {
    OutputFile {
        path: path.to_owned(),
        bytes: bytes.into(),
    }
}

#[allow(clippy::needless_pass_by_value, reason = "it is handed to `map_err`")]
fn words(error: impl Display) -> String {
    error.to_string()
}

/// The file of a name, which the notes may give with a folder.
fn of_name<T: Clone>(logs: &[T], file: impl Fn(&T) -> &String, name: &str) -> Result<T, String> {
    let last = |path: &str| path.rsplit(['/', '\\']).next().unwrap_or(path).to_owned();
    let found = logs.iter().rev().find(|log| last(file(log)) == last(name));
    found.cloned().ok_or_else(|| {
        format!("the notes name `{name}`, which is not here\nhint: drop it beside the track")
    })
}

fn written(trial: &Trial) -> Result<Vec<OutputFile>, String> {
    let charts = plotter::charts(trial);
    report::files(trial, &charts, ChartForm::Svg).map_err(words)
}

fn planned(asked: &[u8]) -> Result<Vec<OutputFile>, String> {
    let asked: Request = serde_json::from_slice(asked).map_err(words)?;
    let plan = plan::draw_up(&asked).map_err(words)?;
    Ok(vec![
        file("card.html", plan::card_html(&plan)),
        file("card.md", plan::card_md(&plan)),
        file("plan.json", plan.json()),
        file(NOTES, plan::notes_toml(&plan)),
        file("said", plan::text(&plan)),
    ])
}
