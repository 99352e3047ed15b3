//! The program: parses the command line, dispatches, writes out.

mod arguments;

use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use arguments::{Arguments, Colour, Command, DeploymentOf, PaperForm, SchemaOf};
use clap::{CommandFactory, Parser, ValueEnum};
use holdpoint::commands::{self, Output};
use holdpoint::report::Style;
use holdpoint::review::Choice;
use holdpoint::text::clean_line;
use holdpoint::vocabulary::Date;

/// A review makes and drops some ten thousand small values, which this allocator does in less time than the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return exit_of_parser(&error),
    };
    let style = Style { colour: colour(arguments.color), ..Style::default() };
    let output = match arguments.command {
        Command::Review {
            paths,
            show_settings,
            format,
            outputs,
            baseline,
            write_baseline,
            show_waived,
            rules,
            codes,
            before,
            today,
            fail_on,
            level,
            margins,
        } => {
            let style = Style { margins: if margins { usize::MAX } else { style.margins }, ..style };
            let options = commands::ReviewOptions {
                paths,
                rules,
                codes,
                format: format.into(),
                outputs,
                baseline: baseline.map(|path| commands::BaselineFile { path, write: write_baseline }),
                show_settings,
                show_waived,
                style,
                before: before.map(Into::into),
                today: today.unwrap_or_else(this_day),
                fail_on: fail_on.into(),
                level: level.into(),
            };
            commands::review(&options, &mut std::io::stdout())
        }
        Command::Mend { paths, diff, unsafe_too, chosen, rules, codes, before, today } => {
            commands::mend(&commands::MendOptions {
                paths,
                rules,
                codes,
                diff,
                choice: Choice { unsafe_too, rules: chosen },
                before: before.map(Into::into),
                today: today.unwrap_or_else(this_day),
                style,
            })
        }
        Command::Checklist { path, rules, codes, today } => {
            commands::checklist(&commands::ChecklistOptions {
                path,
                rules,
                codes,
                today: today.unwrap_or_else(this_day),
                style,
            })
        }
        Command::New { file, name, deployment, diameter, motor_diameter, motor_class } => {
            let ask = |given: Option<String>, question| given.or_else(|| answer(question));
            let deployment = deployment.unwrap_or_else(asked_deployment);
            commands::new(&commands::NewOptions {
                name: ask(name, "What is it called?"),
                deployment: match deployment {
                    DeploymentOf::Dual => commands::Deployment::Dual,
                    DeploymentOf::Single => commands::Deployment::Single,
                    DeploymentOf::MotorEjection => commands::Deployment::MotorEjection,
                },
                diameter: ask(diameter, "Outside diameter of the body (like 98 mm or 4.02 in)?"),
                motor_diameter: ask(motor_diameter, "Diameter of the motor (like 54 mm)?"),
                motor_class: ask(motor_class, "Class of the motor (a letter, like K)?"),
                file,
            })
        }
        Command::Packet { design, verify, format, rules, today } => {
            commands::packet(&commands::PacketOptions {
                design,
                verify,
                form: match format {
                    PaperForm::Html => holdpoint::report::PaperForm::Html,
                    PaperForm::Markdown => holdpoint::report::PaperForm::Markdown,
                },
                rules,
                today: today.unwrap_or_else(this_day),
                style,
            })
        }
        Command::Compare { paths, since, format, rules, before, today } => {
            let old_new = match (paths.as_slice(), since) {
                ([new], Some(revision)) => Ok((commands::Against::Revision(revision), new.clone())),
                ([old, new], None) => Ok((commands::Against::File(old.clone()), new.clone())),
                (_, Some(_)) => Err("with --since, one design is due\n"),
                (_, None) => Err("two designs are due, the old one and the new one, or one and --since\n"),
            };
            match old_new {
                Err(words) => Output::failed(words),
                Ok((old, new)) => commands::compare(&commands::CompareOptions {
                    old,
                    new,
                    rules,
                    format: format.into(),
                    before: before.map(Into::into),
                    today: today.unwrap_or_else(this_day),
                    style,
                }),
            }
        }
        Command::Completions { shell } => completions(shell),
        Command::Man { command } => manual(command.as_deref()),
        Command::Pass { point, design, by, rules, today } => commands::pass(&commands::PassOptions {
            point: point.into(),
            by,
            design,
            rules,
            today: today.unwrap_or_else(this_day),
            style,
        }),
        Command::Explain { what, quantity, today, format, rules } => {
            commands::explain(&commands::ExplainOptions {
                what,
                quantity,
                rules,
                today: today.unwrap_or_else(this_day),
                format: format.into(),
                style,
            })
        }
        Command::Trial { paths, coverage } => {
            commands::trial(&commands::TrialOptions { paths, coverage, style })
        }
        Command::Rules { quantities, markdown, format, rules } => commands::rules(&commands::RulesOptions {
            rules,
            quantities,
            markdown,
            format: format.into(),
            style,
        }),
        Command::Schema { of, rules } => commands::schema(&commands::SchemaOptions {
            of: match of {
                SchemaOf::Design => commands::SchemaOf::Design,
                SchemaOf::Pack => commands::SchemaOf::Pack,
                SchemaOf::Review => commands::SchemaOf::Review,
                SchemaOf::Compare => commands::SchemaOf::Compare,
                SchemaOf::Settings => commands::SchemaOf::Settings,
            },
            rules,
            style,
        }),
    };
    write_out(output)
}

/// What a person at a terminal answers; `None` for nothing, and where no person is.
fn answer(question: &str) -> Option<String> {
    if !(std::io::stdin().is_terminal() && std::io::stderr().is_terminal()) {
        return None;
    }
    let _ = write!(std::io::stderr(), "{question} (enter: leave it open) ");
    let mut line = String::new();
    std::io::stdin().read_line(&mut line).ok()?;
    let line = line.trim();
    (!line.is_empty()).then(|| line.to_owned())
}

/// The deployment a person chooses; dual where they do not, and where no person is.
fn asked_deployment() -> DeploymentOf {
    match answer("How does it come apart: dual, single or motor-ejection?") {
        Some(word) => DeploymentOf::from_str(&word, true).unwrap_or(DeploymentOf::Dual),
        None => DeploymentOf::Dual,
    }
}

/// The completions of a shell.
fn completions(shell: clap_complete::Shell) -> Output {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "holdpoint", &mut script);
    Output { report: String::from_utf8_lossy(&script).into_owned(), ..Output::default() }
}

/// The manual page of the program or of one command, as roff.
fn manual(name: Option<&str>) -> Output {
    let mut program = Arguments::command();
    program.build();
    let page = match name {
        None => program,
        Some(name) => match program.find_subcommand(name) {
            // A page is named by the words that run the command, joined.
            Some(command) => command.clone().display_name(format!("holdpoint-{}", command.get_name())),
            None => {
                let known: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
                let words =
                    format!("no command is named `{}`; they are {}\n", clean_line(name), known.join(", "));
                return Output::failed(words);
            }
        },
    };
    let mut roff = Vec::new();
    match clap_mangen::Man::new(page).render(&mut roff) {
        Ok(()) => Output { report: String::from_utf8_lossy(&roff).into_owned(), ..Output::default() },
        Err(error) => Output::failed(format!("{error}\n")),
    }
}

/// The flag decides, then the user's wish for none, then whether a person is looking.
fn colour(wanted: Colour) -> bool {
    match wanted {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => {
            let none = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
            let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
            !none && !dumb && std::io::stdout().is_terminal()
        }
    }
}

/// The day in universal time: a waiver runs out on the same day everywhere.
fn this_day() -> Date {
    let seconds =
        std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0, |d| d.as_secs());
    let days = i32::try_from(seconds / 86_400).unwrap_or(0);
    jiff::civil::date(1970, 1, 1).checked_add(jiff::Span::new().days(days)).unwrap_or_default()
}

/// Help and the version, or what is wrong with the command line.
fn exit_of_parser(error: &clap::Error) -> ExitCode {
    let code = u8::try_from(error.exit_code()).unwrap_or(2);
    let mut output = Output { code, ..Output::default() };
    let printed = error.print().and_then(|()| std::io::stdout().flush());
    if let Err(failure) = printed.as_ref()
        && !error.use_stderr()
    {
        output.not_printed(failure);
    }
    write_out(output)
}

/// Writes what a command gave back; a report that could not be written is told.
fn write_out(mut output: Output) -> ExitCode {
    let mut out = std::io::stdout().lock();
    if let Err(error) = out.write_all(output.report.as_bytes()).and_then(|()| out.flush()) {
        output.not_printed(&error);
    }
    let _ = std::io::stderr().lock().write_all(output.complaints.as_bytes());
    ExitCode::from(output.code)
}
