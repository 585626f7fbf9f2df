//! The macros that declare a table of the job file once: its Rust type, its reader and its
//! description.
//!
//! A field reads `name as "key": Type = default, in low..=high, why "reason";`. The key is left out
//! when it is the field's own name; without a default the key must be written, unless its type is
//! an `Option` or a list of tables, or a table that itself needs nothing.

/// A struct that is read from a table.
macro_rules! table {
    (
        $(#[doc = $title:literal])+
        $name:ident {
            $(
                $(#[doc = $doc:literal])+
                $field:ident $(as $key:literal)? : $type:ty
                $(= $default:expr)? $(, in $range:expr)? $(, why $why:literal)? ;
            )*
        }
    ) => {
        $(#[doc = $title])+
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $(
                $(#[doc = $doc])+
                $(#[doc = concat!("\n\nDefault `", stringify!($default), "`.")])?
                $(#[doc = concat!("\n\nRange, in the file's unit: `", stringify!($range), "`.")])?
                $(#[doc = concat!("\n\nWhy: ", $why, ".")])?
                pub $field: $type,
            )*
        }

        impl $crate::params::value::Table for $name {
            fn spec() -> &'static $crate::params::spec::TableSpec {
                static SPEC: $crate::params::spec::TableSpec = $crate::params::spec::TableSpec {
                    doc: concat!($($title),+),
                    fields: &[$($crate::params::declare::field!(
                        [$($doc)+] $field [$($key)?] $type [$($default)?] [$($range)?] [$($why)?]
                    )),*],
                };
                &SPEC
            }

            fn from_fields(fields: &mut $crate::params::reader::Fields<'_, '_, '_>) -> Self {
                let mut specs = Self::spec().fields.iter();
                Self {
                    $($field: fields.take::<$type>(
                        specs.next(),
                        $crate::params::declare::opt!($($default)?),
                    ),)*
                }
            }

            fn stand_in() -> Self {
                Self { $($field: <$type as $crate::params::value::Value>::stand_in(),)* }
            }
        }

        $crate::params::value::value_of_table!($name);
    };
}

/// An enum that is read from a table whose keys depend on one word in it.
macro_rules! tagged {
    (
        $(#[doc = $title:literal])+
        $name:ident by $tag:literal {
            $(
                $(#[doc = $form:literal])+
                $variant:ident $word:literal {
                    $(
                        $(#[doc = $doc:literal])+
                        $field:ident $(as $key:literal)? : $type:ty
                        $(= $default:expr)? $(, in $range:expr)? $(, why $why:literal)? ;
                    )*
                }
            )*
        }
    ) => {
        $(#[doc = $title])+
        #[derive(Debug, Clone, PartialEq)]
        pub enum $name {
            $(
                $(#[doc = $form])+
                $variant {
                    $(
                        $(#[doc = $doc])+
                        $(#[doc = concat!("\n\nDefault `", stringify!($default), "`.")])?
                        $(#[doc = concat!("\n\nRange, in the file's unit: `", stringify!($range), "`.")])?
                        $field: $type,
                    )*
                },
            )*
        }

        impl $crate::params::value::Tagged for $name {
            fn spec() -> &'static $crate::params::spec::TaggedSpec {
                static SPEC: $crate::params::spec::TaggedSpec = $crate::params::spec::TaggedSpec {
                    tag: $tag,
                    forms: &[$($crate::params::spec::Form {
                        word: $word,
                        table: $crate::params::spec::TableSpec {
                            doc: concat!($($form),+),
                            fields: &[$($crate::params::declare::field!(
                                [$($doc)+] $field [$($key)?] $type [$($default)?] [$($range)?] [$($why)?]
                            )),*],
                        },
                    }),*],
                };
                &SPEC
            }

            fn from_fields(
                form: &'static $crate::params::spec::Form,
                fields: &mut $crate::params::reader::Fields<'_, '_, '_>,
            ) -> Option<Self> {
                let mut specs = form.table.fields.iter();
                match form.word {
                    $($word => Some(Self::$variant {
                        $($field: fields.take::<$type>(
                            specs.next(),
                            $crate::params::declare::opt!($($default)?),
                        ),)*
                    }),)*
                    _ => None,
                }
            }
        }

        $crate::params::value::value_of_tagged!($name);
    };
}

/// One entry of a [`super::spec::TableSpec`].
macro_rules! field {
    (
        [$($doc:literal)+] $field:ident [$($key:literal)?] $type:ty
        [$($default:expr)?] [$($range:expr)?] [$($why:literal)?]
    ) => {
        $crate::params::spec::Field {
            key: $crate::params::declare::key!($field $($key)?),
            doc: concat!($($doc),+),
            why: $crate::params::declare::opt!($($why)?),
            range: $crate::params::declare::opt!($($range)?),
            kind: <$type as $crate::params::value::Value>::kind,
            default: || $crate::params::value::absent::<$type>(
                $crate::params::declare::opt!($($default)?),
            ),
        }
    };
}

macro_rules! key {
    ($field:ident) => {
        stringify!($field)
    };
    ($field:ident $key:literal) => {
        $key
    };
}

macro_rules! opt {
    () => {
        None
    };
    ($value:expr) => {
        Some($value)
    };
}

pub(crate) use {field, key, opt, table, tagged};
