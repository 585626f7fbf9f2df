//! Enums whose variants are words that people write, each with its meaning in one place.

/// An enum of words: its variants, what each means, and the word itself by `Display`.
macro_rules! words {
    (
        $(#[doc = $title:literal])+
        $name:ident { $( $(#[doc = $doc:literal])+ $variant:ident $word:literal, )+ }
    ) => {
        $(#[doc = $title])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $( $(#[doc = $doc])+ #[doc = concat!("\n\nWritten `\"", $word, "\"`.")] $variant, )+
        }

        impl $name {
            /// Every one of them.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// What it means.
            #[must_use]
            pub fn meaning(self) -> &'static str {
                match self { $(Self::$variant => concat!($($doc),+)),+ }
            }
        }

        impl std::fmt::Display for $name {
            /// The word.
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(match self { $(Self::$variant => $word),+ })
            }
        }
    };
}

pub(crate) use words;
