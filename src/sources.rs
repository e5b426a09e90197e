//! Before the crate is built: one digest of everything that may decide what it draws.

use std::path::{Path, PathBuf};

fn main() {
    let root = PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    println!("cargo::rerun-if-changed=src");
    println!("cargo::rerun-if-changed=Cargo.lock");
    println!("cargo::rustc-env=LAYFIG_SOURCES={:016x}", sources(&root));
    // Where clippy reads which functions of the platform are not to be called, however it is started.
    let tests = root.join("tests");
    if tests.join("clippy.toml").is_file() {
        println!("cargo::rustc-env=CLIPPY_CONF_DIR={}", tests.display());
    }
}

/// Of the sources and the versions of all libraries. What only reads arguments, prints or edits files
/// draws nothing.
pub fn sources(root: &Path) -> u64 {
    let mut files = Vec::new();
    gather(&root.join("src"), &mut files);
    let idle = ["cli", "lint", "fit"].map(|name| root.join("src").join(name));
    files.retain(|file| !idle.iter().any(|folder| file.starts_with(folder)));
    files.push(root.join("Cargo.lock"));
    files.sort();
    let mut sum = OFFSET;
    for file in files {
        let name = file.strip_prefix(root).unwrap_or(&file);
        for step in name {
            sum = fnv(sum, step.as_encoded_bytes());
            sum = fnv(sum, b"/");
        }
        let text = std::fs::read(&file).unwrap_or_default();
        // However a checkout ends its lines.
        let text: Vec<u8> = text.into_iter().filter(|&byte| byte != b'\r').collect();
        sum = fnv(sum, &(text.len() as u64).to_le_bytes());
        sum = fnv(sum, &text);
    }
    sum
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(&path, files);
        } else {
            files.push(path);
        }
    }
}

/// FNV-1a of 64 bits (Fowler, Noll, Vo; RFC 9923): enough to tell builds apart, nobody forges one.
const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;

fn fnv(sum: u64, bytes: &[u8]) -> u64 {
    let prime = 0x0000_0100_0000_01b3;
    bytes.iter().fold(sum, |sum, &byte| {
        (sum ^ u64::from(byte)).wrapping_mul(prime)
    })
}
