//! Text into HTML, so that nothing in it can become markup.

/// The text with the characters that mean something in HTML replaced, fit for content and for
/// attributes in double or single quotation marks. Control characters other than white space are
/// dropped: HTML has no way to write them.
///
/// ```
/// assert_eq!(foldmark::html::escape("<b> \"&\" 'x'"), "&lt;b&gt; &quot;&amp;&quot; &#39;x&#39;");
/// ```
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            letter if letter.is_control() && !letter.is_whitespace() => {}
            letter => out.push(letter),
        }
    }
    out
}
