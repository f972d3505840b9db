//! The study file: every parameter once, with unit, default and source.
//!
//! A study of three lines runs (`name`, `crs`, `pigs`); every other key has the
//! default shown here. [`study_file::Study::read`] refuses unknown keys and impossible values,
//! naming the key, the value and what is allowed.

macro_rules! keys {
    ($(#[$m:meta])* $name:ident { $($(#[$fm:meta])* $field:ident : $ty:ty = $default:expr,)* }) => {
        $(#[$m])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields, default)]
        pub struct $name { $($(#[$fm])* pub $field: $ty,)* }
        impl Default for $name {
            fn default() -> Self { $name { $($field: $default,)* } }
        }
    };
}

pub(crate) mod ageing;
pub(crate) mod error;
pub(crate) mod limits;
pub(crate) mod model_keys;
pub(crate) mod priorities;
pub(crate) mod study_file;
pub(crate) mod surveillance;
pub(crate) mod surveillance_limits;
