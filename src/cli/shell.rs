//! `thereback completions` and `thereback man`: what the shell needs.

use anyhow::Result;
use clap::{Command, CommandFactory};
use clap_complete::Shell;
use clap_mangen::Man;

use super::args::{Cli, EXAMPLES};
use super::{Outcome, say};

pub(crate) fn completions(shell: Shell) -> Result<Outcome> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "thereback", &mut script);
    say::data(&script)?;
    Ok(Outcome::Found)
}

/// One page for all commands, since each is short.
pub(crate) fn man() -> Result<Outcome> {
    let mut command = Cli::command().disable_help_subcommand(true);
    command.build();
    let man = Man::new(command.clone());
    let mut page = Vec::new();
    man.render_title(&mut page)?;
    man.render_name_section(&mut page)?;
    man.render_synopsis_section(&mut page)?;
    man.render_description_section(&mut page)?;
    for command in command.get_subcommands() {
        page.extend(subcommand(command)?.into_bytes());
    }
    page.extend(examples().into_bytes());
    say::data(&page)?;
    Ok(Outcome::Found)
}

fn subcommand(command: &Command) -> Result<String> {
    let man = Man::new(command.clone());
    let mut page = Vec::new();
    man.render_synopsis_section(&mut page)?;
    man.render_description_section(&mut page)?;
    man.render_options_section(&mut page)?;
    let page = String::from_utf8_lossy(&page);
    let heading = format!(".SH {}", command.get_name().to_uppercase());
    Ok(page
        .replace(".SH SYNOPSIS", &heading)
        .replace(".SH DESCRIPTION", ".PP")
        .replace(".SH OPTIONS", ".PP"))
}

/// The examples line by line, as they are shown in the help.
fn examples() -> String {
    let mut page = String::from(".SH EXAMPLES\n.nf\n");
    for line in EXAMPLES.lines().skip(1) {
        let line = line.replace('\\', "\\e").replace('-', "\\-");
        page.push_str("\\&");
        page.push_str(&line);
        page.push('\n');
    }
    page.push_str(".fi\n");
    page
}
