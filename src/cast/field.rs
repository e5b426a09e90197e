//! One entry of a table of a file.

use toml::de::DeValue;

use crate::diag::Span;

/// One entry of a table.
#[derive(Clone, Copy)]
pub(super) struct Field<'t> {
    /// The key.
    pub name: &'t str,
    /// Where the key is.
    pub name_span: Span,
    /// The value.
    pub value: &'t DeValue<'t>,
    /// Where the value is; of a table with a header, the header.
    pub span: Span,
}
