//! A sheet put together: the drawing, its dimensions in lanes, the names in their column.

use super::beside::{self, Away, Obstacles};
use super::detail;
use super::dimensions::{self, Placed};
use super::fit::{Rooms, fit};
use super::inside::lines_of;
use super::labels::{self, PlacedName};
use crate::draft::Mark;
use crate::exercise::{Pen, Side};
use crate::figure::drawing::{Area, Drawing, Frame, Path, Role, Standing, Text, TextRole, plain};
use crate::figure::subject::cloth::Cloth;
use crate::figure::subject::dimension::{Dimension, is_upright, side_index};
use crate::figure::subject::mark::{self, Line};
use crate::figure::subject::name::{Name, Nearby, Target};
use crate::figure::subject::scene::Scene;
use crate::figure::{letters, style};
use crate::geometry::{Bounds, Point};

/// What is to be drawn.
#[derive(Default)]
pub(crate) struct Sheet<'s> {
    /// What the drawing takes up even where nothing is drawn.
    pub least: Option<Bounds>,
    pub marks: Vec<(Mark, Standing)>,
    /// The piece that the marks are on, if they are on one.
    pub cloth: Option<Cloth<'s>>,
    /// What a section or a view is made of.
    pub scene: Scene,
    pub dimensions: Vec<Dimension>,
    /// A heading over the names, or empty.
    pub heading: String,
    /// Lanes that are left free on each side whether they are used or not: left, right, top, bottom.
    pub lanes: [usize; 4],
    /// What later figures of a series add: their names keep the places that they will have.
    pub to_come: Vec<Mark>,
    /// Whether it is one of a series, in which every name is bold where it is new.
    pub is_series: bool,
    /// Whether every name has a leader, for something else will be written in the drawing.
    pub is_written_in: bool,
    /// Whether the drawing may grow downwards to show every name.
    pub grows: bool,
    /// A circle around what is shown enlarged elsewhere: its middle and how far it reaches.
    pub ring: Option<(Point, f64)>,
    /// Whether everything has its true proportions.
    pub is_to_scale: bool,
    /// Whether lengths can be measured though not everything has its true proportions: a depth is shortened, or cloth thick.
    pub is_measurable: bool,
}

impl Sheet<'_> {
    /// Some marks, all alike and to scale, with some dimensions.
    pub(crate) fn of(marks: impl IntoIterator<Item = Mark>, dimensions: Vec<Dimension>) -> Self {
        let marks = marks.into_iter().map(|mark| (mark, Standing::Even)).collect();
        Sheet { marks, dimensions, is_to_scale: true, ..Sheet::default() }
    }

    /// Draws everything.
    pub(crate) fn draw(&self) -> Drawing {
        let Some(bounds) = self.bounds() else { return Drawing::default() };
        let (frame, placed, is_beside) = self.fit(bounds);
        self.draw_placed(frame, placed, &is_beside)
    }

    /// Draws everything where a frame says, at its scale.
    pub(crate) fn draw_at(&self, frame: Frame) -> Drawing {
        self.draw_placed(frame, dimensions::assign(&self.dimensions, &frame), &[])
    }

    /// Draws everything; the names that `is_beside` says have to stand in the column.
    fn draw_placed(&self, frame: Frame, mut placed: Vec<Placed>, is_beside: &[bool]) -> Drawing {
        let mut drawing = Drawing::new(self.is_to_scale.then_some(frame));
        if self.is_measurable {
            drawing = drawing.measurable(frame.length(1.0));
        }
        let inner = frame.area();
        let pads = self.pads(&frame);
        let all = self.names(&frame);
        let (written, names) = self.near(&frame, all, is_beside);
        let mut obstacles = if names.is_empty() { Obstacles::default() } else { self.obstacles(&frame, false) };
        obstacles.texts.extend(written.iter().map(|(_, text)| letters::space(text)));
        let column_width = labels::width(&names, self.is_series);
        let is_drawn = |(name, _): &&(Name, Text)| !name.is_to_come;
        let written: Vec<Text> = written.iter().filter(is_drawn).map(|(_, text)| text.clone()).collect();

        // Beside the drawing: upright dimensions, then the names right of them.
        let edges = Area {
            left: inner.left - pads[0],
            right: inner.right + pads[1],
            top: inner.top - pads[2],
            bottom: inner.bottom + pads[3],
        };
        for one in placed.iter_mut().filter(|one| is_upright(one.side)) {
            one.set_level(if one.side == Side::Left { edges.left } else { edges.right });
        }
        let column = inner.right + self.room(1, pads[1], &placed).max(pads[1] + style::COLUMN_GAP);
        // Names stand beside what is drawn, not beside what is to come.
        let mut beside = edges;
        if let Some(least) = self.least
            && let Some(drawn) = self.drawn()
        {
            beside.top = edges.top + frame.length(least.most.y - drawn.most.y);
            beside.bottom = edges.bottom - frame.length(drawn.least.y - least.least.y);
        }
        let texts: Vec<Area> = placed
            .iter()
            .filter(|one| one.side == Side::Right)
            .map(Placed::text_area)
            .chain(written.iter().map(letters::space))
            .collect();
        let (mut away, mut tried, mut names) = (Vec::<Away>::new(), Vec::<String>::new(), names);
        let placed_names = loop {
            let mut placed_names = labels::place(&names, beside, self.grows, &texts);
            if !self.grows {
                labels::clear(&mut placed_names, column, &texts);
            }
            let Some(barred) = labels::barred(&placed_names, column, &obstacles, &tried) else { break placed_names };
            let Some(index) = names.iter().position(|name| name.text == barred) else { break placed_names };
            match beside::away(&names[index], &obstacles, within(&frame)).filter(|_| !self.is_written_in) {
                Some(found) => {
                    obstacles.texts.push(letters::space(&found.text));
                    obstacles.barred.push((found.from, found.to));
                    obstacles.lines.push((found.from, found.to));
                    away.push(found);
                    names.remove(index);
                }
                None => tried.push(barred),
            }
        };
        let mut written = written;
        written.extend(away.iter().map(|one| one.text.clone()));

        // Above and below them: level dimensions, clear of all beside that sticks out where they are.
        let beside_it: Vec<Area> = placed
            .iter()
            .filter(|one| is_upright(one.side))
            .map(Placed::area)
            .chain(labels::areas(&placed_names, column))
            .chain(written.iter().map(letters::space))
            .map(|area| area.grown(style::CLEAR))
            .collect();
        let level = |side: Side| {
            let extents = placed.iter().filter(|one| one.side == side).map(Placed::extent);
            let is_met = |area: &&Area| extents.clone().any(|(low, high)| low < area.right && area.left < high);
            beside_it.iter().filter(is_met).fold(beside, |around, area| around.with(*area))
        };
        let (top, bottom) = (level(Side::Top).top, level(Side::Bottom).bottom);
        for one in placed.iter_mut().filter(|one| !is_upright(one.side)) {
            one.set_level(if one.side == Side::Top { top } else { bottom });
        }
        let is_alone = names.is_empty();
        drawing.reserve(if is_alone { beside } else { Area { right: column + column_width, ..beside } });
        self.paint(&mut drawing, &frame, &mut placed, &placed_names, column, &written);
        for one in &away {
            drawing.add(Path::run(Role::Leader, &[one.from, one.to]));
        }
        for one in away.iter().filter(|one| one.has_dot) {
            drawing.add(Path::dot(Role::LeaderDot, one.from, style::DOT));
        }
        written.into_iter().for_each(|text| drawing.write(text));
        drawing
    }

    /// What is drawn, and with `in_series` what is in any figure of the series.
    fn obstacles(&self, frame: &Frame, in_series: bool) -> Obstacles {
        let mut obstacles = Obstacles::default();
        let lines = &mut obstacles.lines;
        let to_come = self.to_come.iter().filter(|_| in_series);
        for mark in self.marks.iter().map(|(mark, _)| mark).chain(to_come) {
            mark::edges(frame, mark, lines);
            // Ticks, crosses and notches, of which the lines are not all there is.
            if mark::pen(mark).is_none_or(|pen| pen == Pen::Gap) {
                lines.extend(mark::path(frame, mark, &[], &[]).iter().flat_map(lines_of));
            }
            if let (Mark::Measure { from, to, side, .. }, true) = (mark, in_series) {
                lines.extend(extensions(frame, *from, *to, *side));
            }
            if let Nearby::In(objects) = mark::nearby(frame, mark) {
                obstacles.objects.extend(objects);
            }
            if mark::pen(mark) == Some(Pen::Fold) {
                mark::edges(frame, mark, &mut obstacles.barred);
            }
        }
        self.scene.lines(frame, lines);
        obstacles.barred.extend(self.scene.barred(frame));
        if let Some(cloth) = &self.cloth {
            cloth.lines(frame, lines);
            obstacles.barred.extend(cloth.folds(frame));
            obstacles.texts.extend(cloth.fold_area(frame));
        }
        lines.extend(self.ring_in(frame).windows(2).map(|pair| (pair[0], pair[1])));
        let extensions = self.dimensions.iter().flat_map(|one| extensions(frame, one.from, one.to, one.side));
        lines.extend(extensions);
        obstacles
    }

    /// The circle around a detail, in units; nothing, if there is none.
    fn ring_in(&self, frame: &Frame) -> Vec<Point> {
        self.ring.map_or_else(Vec::new, |(at, reach)| detail::circle(frame.at(at), frame.length(reach)))
    }

    fn all_marks(&self) -> impl Iterator<Item = &Mark> {
        self.marks.iter().map(|(mark, _)| mark).chain(&self.to_come)
    }

    /// The names that stand near what they name, and the others.
    fn near(&self, frame: &Frame, names: Vec<Name>, is_beside: &[bool]) -> (Vec<(Name, Text)>, Vec<Name>) {
        let mut obstacles = if names.is_empty() { Obstacles::default() } else { self.obstacles(frame, true) };
        let within = within(frame);
        let (mut written, mut others) = (Vec::new(), Vec::new());
        for (index, name) in names.into_iter().enumerate() {
            // In some figure of a series it is new, and bold.
            let is_bold = style::is_bold(name.role) || self.is_series;
            let is_beside = self.is_written_in || is_beside.get(index).is_some_and(|is_beside| *is_beside);
            match (!is_beside).then(|| beside::near(&name, is_bold, &obstacles, within)).flatten() {
                Some(text) => {
                    let bold = Text { role: TextRole::NewName, ..text.clone() };
                    obstacles.texts.push(letters::space(if is_bold { &bold } else { &text }));
                    written.push((name, text));
                }
                None => others.push(name),
            }
        }
        (written, others)
    }

    fn paint(
        &self,
        drawing: &mut Drawing,
        frame: &Frame,
        placed: &mut [Placed],
        names: &[PlacedName],
        column: f64,
        written: &[Text],
    ) {
        let mut drawn: Vec<Line> = Vec::new();
        for (mark, _) in &self.marks {
            mark::edges(frame, mark, &mut drawn);
        }
        self.scene.lines(frame, &mut drawn);
        let mut texts: Vec<Area> = written.iter().map(letters::space).collect();
        if let Some(cloth) = &self.cloth {
            cloth.lines(frame, &mut drawn);
            cloth.body(frame).for_each(|path| drawing.add(path));
            texts.extend(cloth.fold_area(frame));
        }
        self.scene.draw_cloth(drawing, frame);
        let leaders = labels::leaders(names, column);
        dimensions::draw(drawing, placed, &drawn, &leaders, &mut texts);
        self.scene.draw(drawing, frame);
        let usual = self.marks.iter().filter(|(_, standing)| *standing != Standing::Own);
        let openings = mark::openings(usual.clone().map(|(mark, _)| mark));
        for standing in [Standing::Before, Standing::Even, Standing::Now, Standing::Own] {
            // What is new is never covered by what was there before.
            let covers = mark::covers(usual.clone().filter(|(_, its)| *its >= standing).map(|(mark, _)| mark));
            if let (Some(cloth), Standing::Even) = (&self.cloth, standing) {
                cloth.outlines(drawing, frame, &[&openings[..], &covers[..]].concat());
            }
            let these = self.marks.iter().filter(|(_, its)| *its == standing);
            let paths = these.filter_map(|(mark, _)| mark::path(frame, mark, &openings, &covers));
            // Objects lie under the lines.
            let (under, over): (Vec<Path>, Vec<Path>) = paths.partition(|path| path.role == Role::Objects);
            for path in under.into_iter().chain(over) {
                drawing.add(path.standing(standing));
            }
        }
        if let Some(cloth) = &self.cloth {
            drawn.extend(self.marks.iter().filter_map(|(mark, _)| mark::obstacles(frame, mark)).flatten());
            drawn.extend(written.iter().map(letters::space).flat_map(Area::sides));
            cloth.signs(drawing, frame, &drawn);
        }
        drawing.add(Path::run(Role::Ring, &self.ring_in(frame)));
        labels::draw(drawing, names, column, &texts);
    }

    pub(crate) fn bounds(&self) -> Option<Bounds> {
        self.drawn().into_iter().chain(self.least).reduce(Bounds::with)
    }

    /// What all that is drawn takes up.
    pub(crate) fn drawn(&self) -> Option<Bounds> {
        let marks = self.marks.iter().filter_map(|(mark, _)| mark::bounds(mark));
        let ring = self.ring.and_then(|(at, reach)| Bounds::around(detail::circle(at, reach)));
        let dimensions = self.dimensions.iter().filter_map(|one| Bounds::around([one.from, one.to]));
        let cloth = self.cloth.iter().map(|cloth| cloth.bounds());
        marks.chain(ring).chain(dimensions).chain(cloth).chain(self.scene.bounds()).reduce(Bounds::with)
    }

    /// The frame, every dimension in a lane for which the frame leaves room, and which names have to stand beside the
    /// drawing: the more of them, the less room there is in it.
    pub(crate) fn fit(&self, bounds: Bounds) -> (Frame, Vec<Placed>, Vec<bool>) {
        let mut is_beside: Vec<bool> = Vec::new();
        loop {
            // Neither names nor pads depend on the scale by more than a rounding.
            let names = self.names(&fit(bounds, Rooms::default()));
            is_beside.resize(names.len(), false);
            let column = names.iter().zip(&is_beside).filter(|(_, is_beside)| **is_beside);
            let column = labels::width(&column.map(|(name, _)| name.clone()).collect::<Vec<_>>(), self.is_series);
            let (frame, placed) = self.fit_beside(bounds, column);
            let (_, others) = self.near(&frame, self.names(&frame), &is_beside);
            let count = is_beside.iter().filter(|is_beside| **is_beside).count();
            if others.len() <= count {
                return (frame, placed, is_beside);
            }
            for (name, is_beside) in names.iter().zip(&mut is_beside) {
                *is_beside |= others.iter().any(|other| other.text == name.text);
            }
        }
    }

    /// The same with a column of this width.
    fn fit_beside(&self, bounds: Bounds, column: f64) -> (Frame, Vec<Placed>) {
        let mut lanes = self.lanes;
        loop {
            let mut rooms = Rooms { left: room(lanes[0]), right: room(lanes[1]), column: 0.0 };
            let frame = fit(bounds, rooms);
            let pads = self.pads(&frame);
            rooms.left += pads[0];
            rooms.right += pads[1];
            rooms.right = if column > 0.0 { rooms.right.max(pads[1] + style::COLUMN_GAP) } else { rooms.right };
            rooms.column = column;
            let frame = fit(bounds, rooms);
            let placed = dimensions::assign(&self.dimensions, &frame);
            let mut has_grown = false;
            for one in &placed {
                let lane = &mut lanes[side_index(one.side)];
                if one.lane + 1 > *lane {
                    *lane = one.lane + 1;
                    has_grown |= is_upright(one.side);
                }
            }
            // A side has no more lanes than dimensions, so this ends.
            if !has_grown {
                return (frame, placed);
            }
        }
    }

    /// Whether anything has a name, or will have.
    pub(crate) fn is_named(&self) -> bool {
        let is_named = |mark: &Mark| mark::label(mark).is_some_and(|label| !plain(label).is_empty());
        self.scene.is_named() || self.all_marks().any(is_named)
    }

    fn pads(&self, frame: &Frame) -> [f64; 4] {
        self.cloth.as_ref().map_or([0.0; 4], |cloth| cloth.pads(frame))
    }

    /// The room on a side: what stands at the drawing, and its lanes.
    fn room(&self, side: usize, pad: f64, placed: &[Placed]) -> f64 {
        let used = placed.iter().filter(|one| side_index(one.side) == side).map(|one| one.lane + 1).max();
        pad + room(used.unwrap_or(0).max(self.lanes[side]))
    }

    /// Every name once, with what it points at.
    fn names(&self, frame: &Frame) -> Vec<Name> {
        let mut names: Vec<Name> = Vec::new();
        if !self.heading.is_empty() {
            let (text, target, role) = (self.heading.clone(), Target::Nothing, TextRole::Heading);
            names.push(Name { text, target, role, nearby: Nearby::Nowhere, points: Vec::new(), is_to_come: false });
        }
        let marks = self.marks.iter().map(|(mark, standing)| (mark, Some(*standing)));
        for (mark, standing) in marks.chain(self.to_come.iter().map(|mark| (mark, None))) {
            let Some(label) = mark::label(mark) else { continue };
            let text = plain(label);
            let Some(target) = mark::target(frame, mark) else { continue };
            if !text.is_empty() && !names.iter().any(|name| name.text == text) {
                let role = if standing == Some(Standing::Now) { TextRole::NewName } else { TextRole::Name };
                let nearby = mark::nearby(frame, mark);
                let points = mark::points(frame, mark);
                names.push(Name { text, target, role, nearby, points, is_to_come: standing.is_none() });
            }
        }
        if let Some(cloth) = &self.cloth {
            names.extend(cloth.names(frame));
        }
        names.extend(self.scene.names(frame));
        names
    }
}

fn room(lanes: usize) -> f64 {
    match lanes {
        0 => 0.0,
        lanes => style::FIRST_LANE + (lanes - 1) as f64 * style::LANE + style::LAST_LANE,
    }
}

/// Where names may stand that are not in the column: in the drawing, and close above and below it.
fn within(frame: &Frame) -> Area {
    let area = frame.area();
    Area { top: area.top - 4.0 * style::HALF_LINE, bottom: area.bottom + 4.0 * style::HALF_LINE, ..area }
}

/// The lines from the ends of what is measured out to where it is told.
fn extensions(frame: &Frame, from: Point, to: Point, side: Side) -> [Line; 2] {
    [from, to].map(|end| {
        let end = frame.at(end);
        let area = frame.area().grown(2.0 * style::LANE);
        let out = match side {
            Side::Left => Point::new(area.left, end.y),
            Side::Right => Point::new(area.right, end.y),
            Side::Top => Point::new(end.x, area.top),
            Side::Bottom => Point::new(end.x, area.bottom),
        };
        (end, out)
    })
}
