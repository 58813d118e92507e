//! Does one job as a job scheduler would hand it out: one model in one state, into a folder that many share.
//!
//! `cargo run -p platework-examples --bin one_job -- demo-models/class-b.toml out boiler.pitch="7ft 3in" wheels=p4`
//!
//! Any number of them may run at once, on any machines, also with the same job: the folder's name says what the
//! results are made from, what stands there whole is kept, and one that is killed leaves nothing half done. Exit
//! status: 0 nothing found, 1 findings that count, 2 could not compute, and a job that ends with 2 will end so again.

use std::path::Path;
use std::process::ExitCode;

use batch::{Job, ModelSource, Setting, Wanted};

type Failure = Box<dyn std::error::Error>;

fn main() -> ExitCode {
    match run() {
        Ok(0) => ExitCode::SUCCESS,
        Ok(_) => ExitCode::from(1),
        Err(failure) => {
            eprintln!("{failure}");
            ExitCode::from(2)
        }
    }
}

/// Does the job; how many of its findings count.
fn run() -> Result<usize, Failure> {
    let mut args = std::env::args().skip(1);
    let usage = "one_job MODEL FOLDER [KEY=VALUE]...";
    let model = args.next().ok_or(usage)?;
    let out = args.next().ok_or(usage)?;
    let settings: Vec<Setting> = args
        .map(|own| {
            let (key, value) = own.split_once('=').ok_or(usage)?;
            Ok(Setting {
                key: key.to_owned(),
                value: value.to_owned(),
            })
        })
        .collect::<Result<_, Failure>>()?;
    let source = ModelSource::read(Path::new(&model))?;
    let job = Job::new(&source, &settings, Wanted::default())?;
    let done = job.run(Path::new(&out))?;
    let (state, summary) = (done.state.word(), &done.summary);
    println!("{state} {}/{}", out, job.folder());
    println!(
        "{}: {} plates, {} errors, {} warnings, {:.1} cm² of metal",
        summary.title, summary.plates, summary.errors, summary.warnings, summary.metal_cm2
    );
    Ok(summary.findings_that_count)
}
