//! Commands and options.

use std::net::SocketAddr;
use std::path::PathBuf;

use batch::{Group, Wanted};
use body::{Overrides, Scale, SheetPaper, WheelStandard};
use check::scan::ScanUnit;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand};

/// Locomotive bodies of etched sheet, from their dimensions.
///
/// Exit status: 0 nothing found, 1 findings that count, 2 could not compute.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100)]
pub(crate) struct Cli {
    /// Answers in JSON on standard output
    #[arg(long, global = true)]
    pub(crate) json: bool,
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Writes everything that can be made from a model: preview, flats, solids, formers, report
    Build(BuildArgs),
    /// Builds a model with every combination of values of its keys, or many models, side by side; a table says what
    /// came of each
    ///
    /// Exit status: 0 nothing found, 1 findings that count, 2 could not compute, or a combination was refused.
    Sweep(SweepArgs),
    /// Checks the body's own fits and etch rules; with artwork, what was drawn against what was meant, and
    /// what it would build to
    ///
    /// Findings are let pass by MODEL.waivers.toml beside the model file.
    Check(CheckArgs),
    /// Leads the engine, with its tender, over a curve: throws, trucks, side play, what comes too near
    Clearances(ClearancesArgs),
    /// Holds readings of the finished model (caliper, height gauge, rule), or a scan of it, against its drawing: what
    /// conforms, what does not, and which dimension and plate a deviation points to
    ///
    /// `platework build` and `platework sheets` write an empty list of readings to fill in.
    Compare(CompareArgs),
    /// Says what a change of a model touches, before and after: what must be etched again
    ///
    /// Exit status: 0 nothing differs, 1 something does, 2 could not compute.
    Differ(DifferArgs),
    /// Writes the sheets for the builder alone: forming, order of assembly, lists, drawings
    Sheets(SheetsArgs),
    /// Serves the page and the HTTP interface over a folder of models
    Serve(ServeArgs),
    /// Writes a commented model file to start from
    New(NewArgs),
    /// Measures the time from model file to preview on one core, or of every writer of files
    Bench(BenchArgs),
}

/// Which model, and how it is read.
#[derive(Args, Debug)]
pub(crate) struct ModelArgs {
    /// Model file
    pub(crate) model: PathBuf,
    /// Scale, if not the file's own
    #[arg(long, value_parser = words(&Scale::ALL, Scale::word))]
    pub(crate) scale: Option<Scale>,
    /// Wheel standard, if not the file's own
    #[arg(long, value_parser = words(&WheelStandard::ALL, WheelStandard::word))]
    pub(crate) wheels: Option<WheelStandard>,
    /// Variant of the model file, if any
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
}

impl ModelArgs {
    pub(crate) fn overrides(&self) -> Overrides {
        Overrides {
            scale: self.scale,
            wheels: self.wheels,
            variant: self.variant.clone(),
        }
    }
}

#[derive(Args, Debug)]
pub(crate) struct BuildArgs {
    #[command(flatten)]
    pub(crate) model: ModelArgs,
    /// Folder to write to; files in it that are not from here are left alone
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    #[command(flatten)]
    pub(crate) files: FilesArgs,
}

/// How the files of a build are made.
#[derive(Args, Debug)]
pub(crate) struct FilesArgs {
    /// Leaves rivet heads out of preview and formed plates
    #[arg(long)]
    pub(crate) no_rivets: bool,
    /// Paper of the sheets for the builder, if not the file's own
    #[arg(long, value_parser = words(&SheetPaper::ALL, SheetPaper::word))]
    pub(crate) paper: Option<SheetPaper>,
    /// Puts rivet heads on the exact solids too; each makes a file some 12 to 30 kB larger
    #[arg(long, conflicts_with = "no_rivets")]
    pub(crate) riveted_solids: bool,
}

impl FilesArgs {
    /// All files of a build, made so.
    pub(crate) fn wanted(&self) -> Wanted {
        Wanted {
            rivets: !self.no_rivets,
            riveted_solids: self.riveted_solids,
            paper: self.paper,
            ..Wanted::default()
        }
    }
}

#[derive(Args, Debug)]
pub(crate) struct SweepArgs {
    /// Model files
    #[arg(required = true)]
    pub(crate) models: Vec<PathBuf>,
    /// A key of the model file, or scale, wheels or variant, and the values that it takes: with commas,
    /// wheels=fine,exact; six from one to another, boiler.pitch=7ft1in..7ft6in/6; or in steps,
    /// boiler.pitch=7ft1in..7ft6in+1in. Several give every combination
    #[arg(long, value_name = "KEY=VALUES")]
    pub(crate) over: Vec<String>,
    /// Folder to write to: a folder for each combination, named by what it is made from. One that stands there
    /// whole is kept, so that many processes may share it
    #[arg(long, value_name = "DIR", required_unless_present = "no_files")]
    pub(crate) out: Option<PathBuf>,
    /// Writes nothing: the table alone, without what only the fret would show
    #[arg(long, conflicts_with_all = ["out", "only"])]
    pub(crate) no_files: bool,
    /// Parts of a build, with commas, if not all; without the fret nothing is found on it
    #[arg(long, value_delimiter = ',', value_parser = words(&Group::ALL, Group::word))]
    pub(crate) only: Vec<Group>,
    /// Every Nth combination from the Kth: a share of the work for one of N machines
    #[arg(long, value_name = "K/N")]
    pub(crate) part: Option<String>,
    /// Threads that share the work, if not one for each core
    #[arg(long, value_parser = thread_count())]
    pub(crate) threads: Option<usize>,
    #[command(flatten)]
    pub(crate) files: FilesArgs,
}

#[derive(Args, Debug)]
pub(crate) struct CheckArgs {
    #[command(flatten)]
    pub(crate) model: ModelArgs,
    /// Drawn artwork (DXF or SVG) to hold against the body; FILE.toml beside it says what it does not
    #[arg(long, value_name = "FILE")]
    pub(crate) artwork: Option<PathBuf>,
    /// Folder for the report of the test build: report.html, report.json and as-drawn.glb
    #[arg(long, value_name = "DIR", requires = "artwork")]
    pub(crate) out: Option<PathBuf>,
    /// Lists every default that was used where the file is silent, with its source
    #[arg(long)]
    pub(crate) defaults: bool,
}

#[derive(Args, Debug)]
pub(crate) struct ClearancesArgs {
    #[command(flatten)]
    pub(crate) model: ModelArgs,
    /// Model file of the tender that is coupled on
    #[arg(long, value_name = "FILE")]
    pub(crate) tender: Option<PathBuf>,
    /// Radius of the centre line in mm, if not the least that the model is meant for
    #[arg(long, value_name = "MM")]
    pub(crate) radius: Option<f64>,
    /// A curve and the same curve the other way, with a straight of so many mm between them
    #[arg(long, value_name = "MM", num_args = 0..=1, default_missing_value = "0")]
    pub(crate) reverse: Option<f64>,
    /// A crossover through two turnouts of 1 in N
    #[arg(long, value_name = "N", conflicts_with_all = ["reverse", "transition"])]
    pub(crate) crossover: Option<f64>,
    /// Distance between the tracks of the crossover in mm
    #[arg(
        long,
        value_name = "MM",
        default_value_t = 50.0,
        requires = "crossover"
    )]
    pub(crate) spacing: f64,
    /// A curve with transitions of so many mm on both sides
    #[arg(long, value_name = "MM", conflicts_with = "reverse")]
    pub(crate) transition: Option<f64>,
    /// Looks for the least radius that it runs on
    #[arg(long)]
    pub(crate) least: bool,
    /// Folder for the plan (SVG, PDF) and the train in motion (GLB)
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub(crate) struct CompareArgs {
    #[command(flatten)]
    pub(crate) model: ModelArgs,
    /// Readings of the finished model (CSV or TOML), or a scan of it (STL, PLY or OBJ)
    #[arg(long, value_name = "FILE")]
    pub(crate) built: PathBuf,
    /// Writes the comparison as a PDF too; of a scan, its sections
    #[arg(long, value_name = "OUT.pdf")]
    pub(crate) sheet: Option<PathBuf>,
    /// Unit of a scan; guessed from its size if it is not said
    #[arg(long, value_parser = words(&ScanUnit::ALL, ScanUnit::word))]
    pub(crate) unit: Option<ScanUnit>,
    /// Writes the body in the colours of a scan's deviations
    #[arg(long, value_name = "OUT.glb")]
    pub(crate) glb: Option<PathBuf>,
    /// Writes sections with what was scanned at each
    #[arg(long, value_name = "OUT.pdf", conflicts_with = "sheet")]
    pub(crate) sections: Option<PathBuf>,
    /// Paper of the PDF, if not the file's own
    #[arg(long, requires = "sheet", value_parser = words(&SheetPaper::ALL, SheetPaper::word))]
    pub(crate) paper: Option<SheetPaper>,
}

#[derive(Args, Debug)]
pub(crate) struct DifferArgs {
    /// Model file before the change
    pub(crate) old: PathBuf,
    /// Model file after the change; may be the same with another variant
    pub(crate) new: PathBuf,
    /// Scale of both, if not that of the file after the change
    #[arg(long, value_parser = words(&Scale::ALL, Scale::word))]
    pub(crate) scale: Option<Scale>,
    /// Wheel standard of both, if not the files' own
    #[arg(long, value_parser = words(&WheelStandard::ALL, WheelStandard::word))]
    pub(crate) wheels: Option<WheelStandard>,
    /// Variant of the file before the change, if any
    #[arg(long, value_name = "NAME")]
    pub(crate) variant_old: Option<String>,
    /// Variant of the file after the change, if any
    #[arg(long, value_name = "NAME")]
    pub(crate) variant_new: Option<String>,
}

#[derive(Args, Debug)]
pub(crate) struct SheetsArgs {
    #[command(flatten)]
    pub(crate) model: ModelArgs,
    /// Folder to write to; files in it that are not from here are left alone
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Paper, if not the file's own
    #[arg(long, value_parser = words(&SheetPaper::ALL, SheetPaper::word))]
    pub(crate) paper: Option<SheetPaper>,
}

#[derive(Args, Debug)]
pub(crate) struct ServeArgs {
    /// Folder of model files
    #[arg(default_value = "demo-models")]
    pub(crate) folder: PathBuf,
    /// Address and port to listen on
    #[arg(long, default_value = "127.0.0.1:8730", value_name = "ADDRESS:PORT")]
    pub(crate) listen: SocketAddr,
    /// File that holds the token which others than this machine have to show; PLATEWORK_TOKEN does too
    #[arg(long, value_name = "FILE")]
    pub(crate) token_file: Option<PathBuf>,
    /// Logs a line of JSON an event
    #[arg(long)]
    pub(crate) json_log: bool,
}

#[derive(Args, Debug)]
pub(crate) struct NewArgs {
    /// Name of the class, as the title block will show it
    pub(crate) name: String,
    /// File to write; after the name if left out
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub(crate) struct BenchArgs {
    #[command(flatten)]
    pub(crate) model: ModelArgs,
    /// Runs of which the median is taken
    #[arg(long, default_value_t = 9, value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub(crate) runs: u16,
    /// Threads that share the work
    #[arg(long, default_value_t = 1, value_parser = thread_count())]
    pub(crate) threads: usize,
    /// Writes the plates' GLB, STL, STEP, DXF and SVG to a folder, and times each writer beside the writing of
    /// its bytes alone
    #[arg(long, value_name = "DIR")]
    pub(crate) files: Option<PathBuf>,
    /// Times ten times the rivets, ten times the plates and a hundred times the model, on one thread and on two
    #[arg(long, conflicts_with_all = ["files", "threads", "runs"])]
    pub(crate) growth: bool,
}

fn thread_count() -> impl TypedValueParser<Value = usize> {
    clap::value_parser!(u16).range(1..=256).map(usize::from)
}

/// Reads one of a few words; help and errors list them.
fn words<T: Copy + Send + Sync + 'static>(
    all: &'static [T],
    word_of: fn(T) -> &'static str,
) -> impl TypedValueParser<Value = T> {
    PossibleValuesParser::new(all.iter().map(|value| word_of(*value))).map(move |word| {
        *all.iter()
            .find(|value| word_of(**value) == word)
            .expect("the parser lets only these words through")
    })
}
