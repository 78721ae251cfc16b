//! The report of all benchmarks: one page of figures, goals and yardsticks, and the machine.

use std::fmt::Write as _;

use crate::figures::Figure;

/// A benchmark and its figures.
#[derive(Clone, Debug)]
pub struct Bench {
    /// Its name, as cargo knows it.
    pub name: &'static str,
    /// What it is about, for the heading.
    pub title: &'static str,
    /// Its figures, in the order in which they were told.
    pub figures: Vec<Figure>,
}

/// What the page says of the machine.
#[derive(Clone, Debug, Default)]
pub struct Machine {
    /// The processor's name.
    pub processor: String,
    /// How many of its threads may be used.
    pub threads: usize,
    /// Memory, GB.
    pub memory_gb: f64,
    /// The system.
    pub system: String,
    /// The compiler.
    pub compiler: String,
}

impl Machine {
    /// This machine, as far as it tells of itself; neither its name nor any path is asked for.
    pub fn here() -> Self {
        let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
        let value = |text: &str, name: &str, sign: char| {
            let line = text.lines().find(|line| line.starts_with(name));
            let value = line
                .and_then(|line| line.split_once(sign))
                .map(|(_, value)| value);
            value.map_or("not told".to_owned(), |value| {
                value.trim().trim_matches('"').to_owned()
            })
        };
        let memory = value(&read("/proc/meminfo"), "MemTotal", ':');
        let kb: f64 = memory
            .split(' ')
            .next()
            .and_then(|kb| kb.parse().ok())
            .unwrap_or(0.0);
        let compiler = std::process::Command::new("rustc").arg("-V").output();
        Self {
            processor: value(&read("/proc/cpuinfo"), "model name", ':'),
            threads: std::thread::available_parallelism().map_or(1, usize::from),
            memory_gb: kb / 1e6,
            system: format!(
                "{}, Linux {}",
                value(&read("/etc/os-release"), "PRETTY_NAME", '='),
                read("/proc/sys/kernel/osrelease").trim()
            ),
            compiler: compiler.map_or("not told".into(), |output| {
                String::from_utf8_lossy(&output.stdout).trim().to_owned()
            }),
        }
    }
}

/// The page.
pub fn page(benches: &[Bench], machine: &Machine) -> String {
    let mut page = String::from(
        "# Benchmarks\n\n\
         Written by `cargo run --release -p timing --example report`, which runs every benchmark with its yardsticks in turn; edit nothing here.\n\
         Goals are those of the design; what has none is measured to see where the time goes.\n\
         A yardstick is a general library doing the same work on the same machine in the same run: the factor says how many times as long it takes.\n\n",
    );
    let _cannot_fail = writeln!(
        page,
        "| machine | |\n| --- | --- |\n| processor | {} |\n| threads | {} |\n| memory | {:.0} GB |\n| system | {} |\n| compiler | {} |",
        machine.processor, machine.threads, machine.memory_gb, machine.system, machine.compiler
    );
    let all = benches.iter().flat_map(|bench| &bench.figures);
    let verdicts: Vec<bool> = all.filter_map(Figure::is_met).collect();
    let met = verdicts.iter().filter(|met| **met).count();
    let _cannot_fail = writeln!(page, "\n{met} of {} goals are met.", verdicts.len());
    for bench in benches {
        section(&mut page, bench);
    }
    page
}

fn section(page: &mut String, bench: &Bench) {
    let _cannot_fail = writeln!(
        page,
        "\n## {}\n\n`cargo bench -p timing --bench {}`",
        bench.title, bench.name
    );
    let rows = |pick: &dyn Fn(&Figure) -> Option<String>| -> Vec<String> {
        bench.figures.iter().filter_map(pick).collect()
    };
    table(
        page,
        "| what | median | 99th of 100 | goal | |\n| --- | ---: | ---: | --- | --- |",
        &rows(&times),
    );
    table(
        page,
        "| what | figure | goal | |\n| --- | ---: | --- | --- |",
        &rows(&amounts),
    );
    table(
        page,
        "| what | yardstick | takes | goal | |\n| --- | --- | ---: | --- | --- |",
        &rows(&beside),
    );
}

fn table(page: &mut String, head: &str, rows: &[String]) {
    if !rows.is_empty() {
        let _cannot_fail = writeln!(page, "\n{head}\n{}", rows.join("\n"));
    }
}

fn verdict(figure: &Figure) -> &'static str {
    match figure.is_met() {
        Some(true) => "met",
        Some(false) => "**missed**",
        None => "",
    }
}

/// A goal as the page shows it; the signs for none stay away.
fn shown(goal: &str) -> &str {
    match goal {
        "-" | "none" => "",
        goal => goal,
    }
}

fn times(figure: &Figure) -> Option<String> {
    let Figure::Times {
        what,
        median_ms,
        late_ms,
        goal,
    } = figure
    else {
        return None;
    };
    Some(format!(
        "| {what} | {median_ms:.3} ms | {late_ms:.3} ms | {} | {} |",
        shown(goal),
        verdict(figure)
    ))
}

fn amounts(figure: &Figure) -> Option<String> {
    let Figure::Amount {
        what,
        value,
        unit,
        goal,
    } = figure
    else {
        return None;
    };
    let decimals = if *value >= 1000.0 { 0 } else { 1 };
    Some(format!(
        "| {what} | {value:.decimals$} {unit} | {} | {} |",
        shown(goal),
        verdict(figure)
    ))
}

fn beside(figure: &Figure) -> Option<String> {
    let Figure::Beside {
        what,
        yardstick,
        times,
        goal,
    } = figure
    else {
        return None;
    };
    let asked = match goal.as_str() {
        "" => String::new(),
        goal => format!("{goal} times"),
    };
    Some(format!(
        "| {what} | {yardstick} | {times:.1} times as long | {asked} | {} |",
        verdict(figure)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_shows_figures_goals_and_the_machine() {
        let figures = vec![
            Figure::Times {
                what: "page camber".into(),
                median_ms: 3.5,
                late_ms: 11.0,
                goal: "5 ms, 10 ms".into(),
            },
            Figure::Beside {
                what: "a fit".into(),
                yardstick: "scipy".into(),
                times: 31.54,
                goal: "20".into(),
            },
        ];
        let bench = Bench {
            name: "pages",
            title: "Pages",
            figures,
        };
        let machine = Machine {
            processor: "a processor".into(),
            ..Machine::default()
        };
        let page = page(&[bench], &machine);
        for words in [
            "| page camber | 3.500 ms | 11.000 ms | 5 ms, 10 ms | **missed** |",
            "| a fit | scipy | 31.5 times as long | 20 times | met |",
            "1 of 2 goals are met",
            "| processor | a processor |",
        ] {
            assert!(page.contains(words), "no {words} in\n{page}");
        }
    }
}
