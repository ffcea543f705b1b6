//! Text forms
