//! What a screen reader is told of a page: the tree of its parts, each with its role, its name and its description.

use std::collections::HashMap;

use serde_json::Value;

#[derive(Default)]
pub struct Heard {
    pub role: String,
    pub name: String,
    pub description: String,
    /// Of a heading.
    pub level: u64,
    /// Whether the keyboard gets there.
    pub is_focusable: bool,
    pub parts: Vec<Heard>,
}

impl Heard {
    /// The nodes as `Accessibility.getFullAXTree` gives them.
    pub fn read(nodes: &Value) -> Option<Heard> {
        let nodes = nodes.as_array()?;
        let by_id: HashMap<&str, &Value> =
            nodes.iter().filter_map(|node| Some((node["nodeId"].as_str()?, node))).collect();
        Heard::part(nodes.first()?, &by_id).into_iter().next()
    }

    /// A node, or if nothing is told of it, its parts in place of it.
    fn part(node: &Value, by_id: &HashMap<&str, &Value>) -> Vec<Heard> {
        let text = |key: &str| node[key]["value"].as_str().unwrap_or_default().to_owned();
        let role = text("role");
        // The lines that a text was broken into.
        if role == "InlineTextBox" {
            return Vec::new();
        }
        let below = node["childIds"].as_array().into_iter().flatten().filter_map(|id| by_id.get(id.as_str()?));
        let parts: Vec<Heard> = below.flat_map(|node| Heard::part(node, by_id)).collect();
        if node["ignored"] == true {
            return parts;
        }
        let property = |key: &str| {
            let list = node["properties"].as_array()?;
            Some(&list.iter().find(|property| property["name"] == key)?["value"]["value"])
        };
        let level = property("level").and_then(Value::as_u64).unwrap_or_default();
        let is_focusable = property("focusable").is_some_and(|value| value == true);
        vec![Heard { role, name: text("name"), description: text("description"), level, is_focusable, parts }]
    }

    /// All of a role in it, in order.
    pub fn all(&self, role: &str) -> Vec<&Heard> {
        let own = (self.role == role).then_some(self);
        own.into_iter().chain(self.parts.iter().flat_map(|part| part.all(role))).collect()
    }

    /// Its text, in order, without the marks of lists and what is told of an image.
    pub fn words(&self) -> String {
        match self.role.as_str() {
            "StaticText" => self.name.clone(),
            "ListMarker" => String::new(),
            _ => self.parts.iter().map(Heard::words).collect(),
        }
    }

    /// Everything, a line for each part: its role and its name.
    pub fn script(&self) -> String {
        let own = format!("{} {}\n", self.role, self.name);
        own + &self.parts.iter().map(Heard::script).collect::<String>()
    }
}
