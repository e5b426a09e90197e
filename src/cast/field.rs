//! One entry of a table of a file.

use toml::Spanned;
use toml::de::DeValue;

use super::keys::Key;
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
    /// What the table of keys says of it.
    pub key: &'static Key,
}

impl<'t> Field<'t> {
    /// What to write instead.
    pub fn hint(&self) -> String {
        self.key.hint(self.name)
    }

    /// The items of a list, each as if it stood there alone.
    pub fn items(&self) -> Option<Vec<Self>> {
        let DeValue::Array(items) = self.value else {
            return None;
        };
        let item = |item: &'t Spanned<DeValue<'t>>| Self {
            value: item.get_ref(),
            span: Span::of(self.span.source, item.span()),
            ..*self
        };
        Some(items.iter().map(item).collect())
    }
}
