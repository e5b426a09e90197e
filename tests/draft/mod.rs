//! `layfig draft`: what is found in drawings, against rigs made by hand, the drawings themselves, and what people do with the files.

mod again;
mod broken;
mod demo;
mod kinds;
