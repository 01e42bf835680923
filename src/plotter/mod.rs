//! plotter
