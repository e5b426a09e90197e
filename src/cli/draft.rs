//! `layfig draft`.

use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::json;

use super::args::{OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use crate::diag::{Place, Problem, Problems, Sources, quoted};
use crate::draft::{Draft, draft, first, lines, picture, summary, texts, updated};
use crate::draw::{Effort, Scratch, png};
use crate::files::{Files, file_name, write_whole};
use crate::project::{Reading, Subject};

/// Arguments of `layfig draft`.
#[derive(Clone, Debug, Args)]
pub struct DraftArgs {
    /// Drawings of one figure, all in one folder: SVG with a group or a layer for each piece. One drawing makes one view,
    /// called by the file or by its outermost layers: front, side, back, three-quarter ...
    #[arg(required = true, value_name = "DRAWING")]
    drawings: Vec<PathBuf>,
    /// Add what the drawings have got since to the rig that is there; nothing that stands in it changes
    #[arg(long, conflicts_with = "overwrite")]
    update: bool,
    /// Write over a rig that is there
    #[arg(long)]
    overwrite: bool,
    /// Tell all that was decided, and all that there is to look at
    #[arg(long, short)]
    verbose: bool,
    #[command(flatten)]
    output: OutputArgs,
}

/// So much is told of what there is to look at.
const FEW: usize = 12;

/// Runs it.
#[must_use]
pub fn run(typed: &DraftArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let refuse = |problem: Problem| {
        console.problem(&problem, &Sources::default());
        Exit::Input
    };
    let parent = |path: &Path| path.parent().unwrap_or(Path::new("")).to_path_buf();
    let folder = parent(&typed.drawings[0]);
    if let Some(other) = typed.drawings.iter().find(|d| parent(d) != folder) {
        let message = "the drawings lie in different folders";
        let hint = "a rig and its drawings lie in one folder; move them together";
        return refuse(Problem::error(other.as_path(), message).hint(hint));
    }
    let names: Vec<PathBuf> = typed
        .drawings
        .iter()
        .filter_map(|d| d.file_name())
        .map(PathBuf::from)
        .collect();
    let files = Files::default();
    let made = match draft(&files, &folder, &names) {
        Ok(made) => made,
        Err((problems, sources)) => {
            for problem in problems.list() {
                console.problem(problem, &sources);
            }
            return Exit::Input;
        }
    };
    let mut wanted = texts(&made);
    let there: Vec<PathBuf> = wanted
        .iter()
        .map(|(name, _)| folder.join(name))
        .filter(|p| files.is_file(p))
        .collect();
    let mut added = Vec::new();
    if typed.update {
        let old = |name: &str| std::fs::read_to_string(folder.join(name)).ok();
        match updated(&made, old) {
            Ok(update) => {
                wanted = update.files;
                added = update.told;
            }
            Err((name, why)) => {
                return refuse(Problem::error(Place::File(folder.join(name)), why));
            }
        }
    } else if let (Some(there), false) = (there.first(), typed.overwrite) {
        let problem = Problem::error(
            there.as_path(),
            format!(
                "{} is there already",
                quoted(&there.file_name().unwrap_or_default().to_string_lossy())
            ),
        );
        return refuse(problem.hint("--update adds what is new in the drawing and leaves the rest, --overwrite writes it all anew"));
    }
    for (name, text) in &wanted {
        let path = folder.join(name);
        if let Err(e) = write_whole(&path, text.as_bytes()) {
            console.problem(
                &Problem::error(path.as_path(), format!("cannot write the file: {e}")),
                &Sources::default(),
            );
            return Exit::Output;
        }
        console.result(&format!("wrote {}", path.display()));
    }
    if typed.update {
        for line in &added {
            console.result(line);
        }
        if added.is_empty() {
            console.result("nothing is new");
        }
    } else {
        tell(&console, &made, typed.verbose);
    }
    let rig = folder.join("rig.toml");
    let exit = look(&console, typed, &rig);
    let shown = rig.display();
    console.result(&format!("next: layfig sheet {shown} for all poses and sweeps, layfig check {shown} for every joint, layfig fit {shown} for better pivots"));
    console.object(|| {
        let views = made.views.iter().map(|view| {
            json!({
                "view": view.name,
                "drawing": view.file,
                "parts": lines(&made, view).iter().map(|l| json!({ "part": l.part, "sure": l.sure.word(), "why": l.what })).collect::<Vec<_>>(),
                "seams": view.seams.len(),
                "masks": view.masks.len(),
                "garments": view.garments.len(),
            })
        });
        let looks = first(&made).into_iter().map(|l| json!({ "view": l.view, "what": l.what, "why": l.why }));
        json!({ "draft": {
            "files": wanted.iter().map(|(name, _)| folder.join(name).to_string_lossy().into_owned()).collect::<Vec<_>>(),
            "views": views.collect::<Vec<_>>(),
            "look": looks.collect::<Vec<_>>(),
        }})
    });
    exit
}

/// What was decided, and what to look at first.
fn tell(console: &Console, made: &Draft, all: bool) {
    for problem in made.warnings.list() {
        console.problem(problem, &made.sources);
    }
    for view in &made.views {
        let name = view
            .name
            .as_deref()
            .map_or(String::new(), |name| format!("{name}: "));
        console.result(&format!("\n{name}{}", summary(view)));
        let lines = lines(made, view);
        let wide = lines
            .iter()
            .map(|l| l.part.chars().count() + 2 * l.depth)
            .max()
            .unwrap_or(0)
            .min(40);
        for line in lines {
            let part = format!("{}{}", "  ".repeat(line.depth), line.part);
            if all {
                console.result(&format!(
                    "  {part:<wide$}  {:<8} {}",
                    line.sure.word(),
                    line.what
                ));
            } else {
                console.result(format!("  {part:<wide$}  {}", line.sure.word()).trim_end());
            }
        }
    }
    let looks = first(made);
    if looks.is_empty() {
        return;
    }
    console.result("\nLook at these first:");
    let few = if all { looks.len() } else { FEW };
    for look in looks.iter().take(few) {
        let view = look
            .view
            .as_deref()
            .map_or(String::new(), |name| format!("{name}: "));
        console.result(&format!("  {view}{}: {}", look.what, look.why));
    }
    if looks.len() > few {
        console.result(&format!(
            "  and {} more: --verbose tells them all, with the reason of every decision",
            looks.len() - few
        ));
    } else if !all {
        console.result("  --verbose tells the reason of every decision");
    }
    console.result("");
}

/// Draws each view with its pivots and names.
fn look(console: &Console, typed: &DraftArgs, rig: &Path) -> Exit {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let subject = Reading::default().member(
        &(None, rig.to_path_buf()),
        &mut sources,
        &mut problems,
        &mut Vec::new(),
    );
    for problem in problems.list() {
        console.problem(problem, &sources);
    }
    let Some(subject) = subject else {
        return Exit::Input;
    };
    let mut failed = false;
    for view in 0..subject.member.views.len() {
        if let Err(problem) = draw_one(console, typed, &subject, view) {
            console.problem(&problem, &sources);
            failed = true;
        }
    }
    Exit::of(!problems.is_ok(), failed, false)
}

fn draw_one(
    console: &Console,
    typed: &DraftArgs,
    subject: &Subject,
    view: usize,
) -> Result<(), Problem> {
    let name = subject.member.views[view].name.clone();
    let mut file = typed.output.out.join(file_name(&subject.member.key));
    file.push(match &name {
        Some(name) => format!("draft.{}.png", file_name(name)),
        None => "draft.png".to_owned(),
    });
    let failed = |why: String| {
        Problem::error(
            Place::File(file.clone()),
            format!("cannot make the picture: {why}"),
        )
    };
    let title = name.map_or_else(
        || subject.member.name.clone(),
        |name| format!("{}, {name}", subject.member.name),
    );
    let page = picture(&subject.puppet(view), &title, &mut Scratch::default())
        .map_err(|e| failed(e.to_string()))?;
    let bytes = png(page.as_ref(), true, Effort::Small).map_err(|e| failed(e.to_string()))?;
    write_whole(&file, &bytes).map_err(|e| failed(e.to_string()))?;
    console.result(&format!("drew {}", file.display()));
    Ok(())
}
