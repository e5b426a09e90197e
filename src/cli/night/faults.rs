//! What went wrong in a night.

use crate::cli::exit::Exit;

/// What a run tells in the end.
#[derive(Default)]
pub(super) struct Faults {
    pub input: bool,
    pub output: bool,
    pub nothing: bool,
    pub look: bool,
}

impl Faults {
    pub const fn exit(&self) -> Exit {
        Exit::of(self.input, self.output, self.nothing).or_look(self.look)
    }
}
