//! One set of dependency features for every way of building the workspace; no code.
