//! The TypeScript of the wire, generated and committed as `ui/src/wire.ts`.

use std::any::TypeId;
use std::collections::{BTreeMap, HashSet};

use ts_rs::{Config, TS, TypeVisitor};

use crate::error::ErrorCode;
use crate::wire::{Display, ErrorData, Request, Response};

/// Collects the declaration of a type and of all it is made of.
struct Declarations {
    config: Config,
    seen: HashSet<TypeId>,
    text: BTreeMap<String, String>,
}

impl Declarations {
    fn add<T: TS + 'static + ?Sized>(&mut self) {
        if !self.seen.insert(TypeId::of::<T>()) {
            return;
        }
        // Only our own types have a file of their own; `string` and `Array<…>` do not.
        if T::output_path().is_some() {
            let docs = T::docs()
                .map(|d| format!("{}\n", d.trim_end()))
                .unwrap_or_default();
            let text = format!("{docs}export {}\n", T::decl(&self.config));
            self.text.insert(T::ident(&self.config), text);
        }
        T::visit_dependencies(self);
        T::visit_generics(self);
    }
}

impl TypeVisitor for Declarations {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        self.add::<T>();
    }
}

/// The TypeScript of every wire type and error code, as committed in `ui/src/wire.ts`.
pub fn typescript() -> String {
    let mut all = Declarations {
        config: Config::default(),
        seen: HashSet::new(),
        text: BTreeMap::new(),
    };
    all.add::<Request>();
    all.add::<Response>();
    all.add::<ErrorData>();
    all.add::<Display>();
    let codes: Vec<_> = ErrorCode::ALL
        .iter()
        .map(|c| format!("  | \"{}\"", c.code()))
        .collect();
    let declarations: Vec<_> = all.text.into_values().collect();
    format!(
        "// Generated from src-tauri/api/src/wire by `cargo xtask types`. Do not edit.\n\n{}\n/** Every code an error can have. */\nexport type ErrorCode =\n{};\n",
        declarations.join("\n"),
        codes.join("\n")
    )
}
