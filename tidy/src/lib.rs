//! Holds nothing itself: its tests hold the architecture.
