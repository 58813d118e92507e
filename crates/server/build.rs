//! Builds the page and lays it where the crate embeds it from.
//!
//! The page's sources are copied to the build folder and built there, so that nothing is ever written beside the
//! sources. Without the feature `web` a placeholder takes the page's place, and neither Node.js nor npm is needed.

use std::env;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What the page is built from, as paths under `web/`: files, and folders with all that is in them.
const SOURCES: [&str; 8] = [
    ".npmrc",
    "index.html",
    "package.json",
    "package-lock.json",
    "public",
    "src",
    "tsconfig.json",
    "vite.config.ts",
];

const PLACEHOLDER: &str = "<!doctype html>
<html lang=\"en-GB\">
  <head><meta charset=\"utf-8\"><title>Platework: no page in this build</title></head>
  <body>
    <h1>This build has no page</h1>
    <p>The server was compiled without its page (feature <code>web</code>). Its HTTP interface under
    <code>/v1/</code> works; <code>/openapi.json</code> describes it.</p>
  </body>
</html>
";

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rustc-check-cfg=cfg(page_embedded)");
    let sources = Path::new("web");
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets OUT_DIR for build scripts"));
    let page = out.join("page");
    if env::var_os("CARGO_FEATURE_WEB").is_none() {
        if let Err(error) = write_placeholder(&page) {
            fail(&format!(
                "the placeholder page could not be written: {error}"
            ));
        }
        return;
    }
    for name in SOURCES {
        println!("cargo::rerun-if-changed={}", sources.join(name).display());
    }
    match build_page(sources, &out.join("web"), &page) {
        Ok(()) => println!("cargo::rustc-cfg=page_embedded"),
        Err(message) => fail(&message),
    }
}

/// Reports each line to cargo as an error and ends the build.
fn fail(message: &str) -> ! {
    for line in message.lines() {
        println!("cargo::error={line}");
    }
    std::process::exit(1);
}

fn write_placeholder(page: &Path) -> io::Result<()> {
    clear(page)?;
    fs::create_dir_all(page)?;
    fs::write(page.join("index.html"), PLACEHOLDER)
}

fn build_page(sources: &Path, work: &Path, page: &Path) -> Result<(), String> {
    let text = |error: io::Error| format!("the page's sources could not be copied: {error}");
    fs::create_dir_all(work).map_err(text)?;
    for name in SOURCES {
        let target = work.join(name);
        clear(&target).map_err(text)?;
        copy(&sources.join(name), &target).map_err(text)?;
    }
    require_node()?;
    install(work)?;
    clear(page).map_err(|error| format!("the old page could not be removed: {error}"))?;
    let mut npm = npm(work);
    npm.args(["run", "build"]).env("PLATEWORK_PAGE_OUT", page);
    run(npm, "the page could not be built")?;
    if page.join("index.html").is_file() {
        Ok(())
    } else {
        Err("the page was built, but it has no index.html".to_owned())
    }
}

/// Removes a file or folder, and is content when it is not there.
fn clear(path: &Path) -> io::Result<()> {
    let removed = if path.is_dir() {
        fs::remove_dir_all(path)
    } else {
        fs::remove_file(path)
    };
    match removed {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

fn copy(from: &Path, to: &Path) -> io::Result<()> {
    if !from.is_dir() {
        return fs::copy(from, to).map(|_| ());
    }
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        copy(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}

fn require_node() -> Result<(), String> {
    for program in ["node", "npm"] {
        let mut command = program_command(program);
        let answers = command
            .arg("--version")
            .output()
            .is_ok_and(|output| output.status.success());
        if !answers {
            return Err(format!(
                "{program} was not found on PATH. The page is built with Node.js (20.19 or later) and npm.\n\
                 On Debian and Ubuntu: Node 20.19 or later: nodejs.org, or apt-get install nodejs npm where that is new enough\n\
                 Or build without the page: cargo build --no-default-features"
            ));
        }
    }
    Ok(())
}

/// npm is a script on Windows, which has to be called by its full name there.
fn program_command(program: &str) -> Command {
    if cfg!(windows) && program == "npm" {
        Command::new("npm.cmd")
    } else {
        Command::new(program)
    }
}

fn npm(work: &Path) -> Command {
    let mut command = program_command("npm");
    command.current_dir(work);
    command
}

/// Installs what the lock file names, unless that stands there already.
fn install(work: &Path) -> Result<(), String> {
    let lock = fs::read(work.join("package-lock.json"))
        .map_err(|error| format!("package-lock.json: {error}"))?;
    let stamp = work.join("node_modules").join(".installed-lock");
    if fs::read(&stamp).is_ok_and(|installed| installed == lock) {
        return Ok(());
    }
    let mut npm = npm(work);
    npm.args([
        "ci",
        "--no-audit",
        "--no-fund",
        "--prefer-offline",
        "--ignore-scripts",
    ]);
    run(npm, "the page's libraries could not be installed (npm ci)")?;
    fs::write(&stamp, lock).map_err(|error| format!("{}: {error}", stamp.display()))
}

fn run(mut command: Command, what: &str) -> Result<(), String> {
    let output = command
        .output()
        .map_err(|error| format!("{what}: {error}"))?;
    if output.status.success() {
        return Ok(());
    }
    let said = [output.stdout, output.stderr].concat();
    Err(format!("{what}:\n{}", String::from_utf8_lossy(&said)))
}
