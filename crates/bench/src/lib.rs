//! A kit and an instrument become a bench plan: zones, stages, touch maps, effort, gauges.
