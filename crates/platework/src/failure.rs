//! Why a command could not compute, on standard error for a person and as JSON for a program.

use std::io;
use std::path::PathBuf;

use batch::{FileError, SweepError};
use body::ModelError;
use miette::{Diagnostic, NamedSource, SourceSpan};
use serde_json::json;
use server::{Problem, ProblemKind, ServerError, WorkError};

/// Why a command could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// The model, its drawing or one of its products.
    #[error(transparent)]
    Work(#[from] WorkError),
    /// A token that is none.
    #[error("{from} holds no token: sixteen characters or more, of letters, digits and -._~+/=")]
    Token {
        /// Where it was looked for.
        from: String,
    },
    /// A file or folder.
    #[error(transparent)]
    File(#[from] FileError),
    /// A sweep.
    #[error(transparent)]
    Sweep(#[from] SweepError),
    /// A file that is neither readings nor a scan.
    #[error("{path} is not a readings file", path = path.display())]
    NotReadings {
        /// The file.
        path: PathBuf,
    },
    /// An option that only a scan has a use for.
    #[error("{option} is for scans, and {path} holds readings", path = path.display())]
    OfScansOnly {
        /// The option.
        option: &'static str,
        /// The file.
        path: PathBuf,
    },
    /// A new file that is there already.
    #[error("{path} is there already", path = path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// A name without a letter or digit.
    #[error("{name:?} has no letter or digit to name a file after")]
    NoName {
        /// The name.
        name: String,
    },
    /// The server.
    #[error(transparent)]
    Server(#[from] ServerError),
    /// Threads cannot be started.
    #[error("threads cannot be started: {0}")]
    Threads(#[from] rayon::ThreadPoolBuildError),
    /// Standard output.
    #[error("standard output cannot be written: {0}")]
    Stdout(io::Error),
}

impl From<ModelError> for Failure {
    fn from(error: ModelError) -> Self {
        Self::Work(error.into())
    }
}

/// One problem, as it is shown with its place in the file.
#[derive(Debug, Diagnostic, thiserror::Error)]
#[error("{message}")]
struct Shown {
    message: String,
    #[help]
    help: Option<String>,
    #[source_code]
    source_code: Option<NamedSource<String>>,
    #[label("here")]
    span: Option<SourceSpan>,
}

impl Failure {
    /// Says what is wrong: for people on standard error, and with `json` on standard output too.
    pub(crate) fn report(&self, json: bool) {
        for shown in self.shown() {
            eprintln!("{:?}", miette::Report::new(shown));
        }
        if json {
            // There is nowhere left to say that this failed.
            let _ = crate::stdout::json(&json!({ "error": self.problem() }));
        }
    }

    fn shown(&self) -> Vec<Shown> {
        if let Self::Work(
            WorkError::Model(error) | WorkError::SideFile(error) | WorkError::Readings(error),
        )
        | Self::Sweep(SweepError::Model(error)) = self
        {
            return model_problems(error);
        }
        vec![Shown {
            message: self.to_string(),
            help: self.help(),
            source_code: None,
            span: None,
        }]
    }

    fn help(&self) -> Option<String> {
        let text = match self {
            Self::Work(_) => {
                let places = self.problem().errors;
                return places
                    .into_iter()
                    .map(|place| place.help)
                    .find(|help| !help.is_empty());
            }
            Self::NotReadings { .. } => {
                "readings are a .csv or .toml file, scans .stl, .ply or .obj; sheets/readings.csv of a build is an empty one"
            }
            Self::OfScansOnly { .. } => {
                "leave it out, or give a scan (.stl, .ply or .obj) with --built; --sheet is for both"
            }
            Self::Sweep(error) => return error.help(),
            Self::File(FileError::Foreign { .. }) => {
                "move it elsewhere, or choose another folder with --out"
            }
            Self::Exists { .. } => "choose another file with --out",
            Self::Server(ServerError::Listen { cause, .. })
                if cause.kind() == io::ErrorKind::AddrInUse =>
            {
                "something listens there already; choose another port with --listen"
            }
            _ => return None,
        };
        Some(text.to_owned())
    }

    fn problem(&self) -> Problem {
        match self {
            Self::Work(error) => Problem::from(error),
            other => Problem {
                title: "The command could not be done".to_owned(),
                ..Problem::new(ProblemKind::Request, other.to_string())
            },
        }
    }
}

fn model_problems(error: &ModelError) -> Vec<Shown> {
    let shown = error.problems.iter().map(|problem| {
        let key = if problem.path.is_empty() {
            String::new()
        } else {
            format!("{}: ", problem.path)
        };
        let (line, column, text) = (problem.line, problem.column, &problem.message);
        let has_text = !error.text.is_empty();
        Shown {
            message: format!("{}:{line}:{column}: {key}{text}", error.file),
            help: (!problem.help.is_empty()).then(|| problem.help.clone()),
            source_code: has_text.then(|| NamedSource::new(&error.file, error.text.clone())),
            span: has_text.then(|| {
                let end = problem.span.end.min(error.text.len());
                let start = problem.span.start.min(end);
                SourceSpan::from(start..end)
            }),
        }
    });
    shown.collect()
}
