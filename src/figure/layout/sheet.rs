//! A sheet put together: the drawing, its dimensions in lanes, the names in their column.

use super::dimensions::{self, Placed};
use super::fit::{Rooms, fit};
use super::labels::{self, PlacedName};
use crate::draft::Mark;
use crate::exercise::Side;
use crate::figure::drawing::{Area, Drawing, Frame, Path, Role, Standing, TextRole, plain};
use crate::figure::style;
use crate::figure::subject::cloth::Cloth;
use crate::figure::subject::dimension::{Dimension, is_upright, side_index};
use crate::figure::subject::mark::{self, Line};
use crate::figure::subject::name::{Name, Target};
use crate::figure::subject::scene::Scene;
use crate::geometry::Bounds;

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
    /// The least width of the column of names.
    pub column: f64,
    /// Whether the drawing may grow downwards to show every name.
    pub grows: bool,
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
        let (frame, placed) = self.fit(bounds);
        self.draw_placed(frame, placed)
    }

    /// Draws everything where a frame says, at its scale.
    pub(crate) fn draw_at(&self, frame: Frame) -> Drawing {
        self.draw_placed(frame, dimensions::assign(&self.dimensions, &frame))
    }

    fn draw_placed(&self, frame: Frame, mut placed: Vec<Placed>) -> Drawing {
        let mut drawing = Drawing::new(self.is_to_scale.then_some(frame));
        if self.is_measurable {
            drawing = drawing.measurable(frame.length(1.0));
        }
        let inner = frame.area();
        let pads = self.pads(&frame);
        let names = self.names(&frame);

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
        let texts: Vec<Area> = placed.iter().filter(|one| one.side == Side::Right).map(Placed::text_area).collect();
        let mut placed_names = labels::place(&names, beside, self.grows, &texts);
        if !self.grows {
            labels::clear(&mut placed_names, column, &texts);
        }

        // Above and below them: level dimensions, clear of all beside that sticks out where they are.
        let beside_it: Vec<Area> = placed
            .iter()
            .filter(|one| is_upright(one.side))
            .map(Placed::area)
            .chain(labels::areas(&placed_names, column))
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
        let is_alone = placed_names.is_empty() && self.column == 0.0;
        drawing.reserve(if is_alone { beside } else { Area { right: column + self.column, ..beside } });
        self.paint(&mut drawing, &frame, &mut placed, &placed_names, column);
        drawing
    }

    fn paint(&self, drawing: &mut Drawing, frame: &Frame, placed: &mut [Placed], names: &[PlacedName], column: f64) {
        let mut drawn: Vec<Line> = Vec::new();
        for (mark, _) in &self.marks {
            mark::edges(frame, mark, &mut drawn);
        }
        self.scene.lines(frame, &mut drawn);
        let mut texts: Vec<Area> = Vec::new();
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
            cloth.signs(drawing, frame, &drawn);
        }
        labels::draw(drawing, names, column, &texts);
    }

    pub(crate) fn bounds(&self) -> Option<Bounds> {
        self.drawn().into_iter().chain(self.least).reduce(Bounds::with)
    }

    /// What all that is drawn takes up.
    pub(crate) fn drawn(&self) -> Option<Bounds> {
        let marks = self.marks.iter().filter_map(|(mark, _)| mark::bounds(mark));
        let dimensions = self.dimensions.iter().filter_map(|one| Bounds::around([one.from, one.to]));
        let cloth = self.cloth.iter().map(|cloth| cloth.bounds());
        marks.chain(dimensions).chain(cloth).chain(self.scene.bounds()).reduce(Bounds::with)
    }

    /// The frame, and every dimension in a lane for which the frame leaves room.
    pub(crate) fn fit(&self, bounds: Bounds) -> (Frame, Vec<Placed>) {
        let mut lanes = self.lanes;
        // Neither names nor pads depend on the scale by more than a rounding.
        let column = self.column.max(labels::width(&self.names(&fit(bounds, Rooms::default()))));
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
        let is_named = |(mark, _): &(Mark, Standing)| mark::label(mark).is_some_and(|label| !plain(label).is_empty());
        self.column > 0.0 || self.scene.is_named() || self.marks.iter().any(is_named)
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
            names.push(Name { text: self.heading.clone(), target: Target::Nothing, role: TextRole::Heading });
        }
        for (mark, standing) in &self.marks {
            let Some(label) = mark::label(mark) else { continue };
            let text = plain(label);
            let Some(target) = mark::target(frame, mark) else { continue };
            if !text.is_empty() && !names.iter().any(|name| name.text == text) {
                let role = if *standing == Standing::Now { TextRole::NewName } else { TextRole::Name };
                names.push(Name { text, target, role });
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

/// The column that some names need, each in its turn a new one.
pub(crate) fn column_for<'n>(names: impl Iterator<Item = &'n str>) -> f64 {
    let name = |text: &str| Name { text: plain(text), target: Target::Nothing, role: TextRole::NewName };
    labels::width(&names.map(name).collect::<Vec<_>>())
}
