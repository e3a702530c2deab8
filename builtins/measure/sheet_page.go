package measure

import (
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"

	"fmt"
	"html"
	"strings"
)

// markdown writes the page as Markdown, its pictures drawn in text.
func (s *sheet) markdown() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n", inMarkdown(s.Name))
	for _, l := range s.by() {
		fmt.Fprintf(&b, "%s: %s  \n", l[0], inMarkdown(l[1]))
	}
	section := func(title string) { fmt.Fprintf(&b, "\n## %s\n\n", title) }
	drawn := func(text string) { b.WriteString(asItStands(text) + "\n") }
	if s.Does != "" {
		section("What it does, in the words of its script")
		drawn(s.Does)
	}
	section("Edge by edge")
	fmt.Fprintf(&b, "%s\n\n", inMarkdown(s.sent()))
	drawn(s.Edges)
	section("Timing")
	fmt.Fprintf(&b, "The same number.\n\n")
	drawn(s.Timing)
	section("Map")
	fmt.Fprintf(&b, "%s.\n\n", upperFirst(s.MapOf))
	drawn(s.Map)
	if len(s.Ports) > 0 {
		section("Ports")
		b.WriteString("| port | what it is |\n|---|---|\n")
		for _, p := range s.Ports {
			fmt.Fprintf(&b, "| %s | %s |\n", inMarkdown(p[0]), inMarkdown(p[1]))
		}
	}
	s.kinds(section, func(name string) { fmt.Fprintf(&b, "### %s\n\n", inMarkdown(name)) }, func(text string) { drawn(text); b.WriteString("\n") })
	section("Figures")
	b.WriteString("| figure | value | how it was obtained |\n|---|---|---|\n")
	for _, f := range s.figures {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", inMarkdown(f.head()), inMarkdown(f.shown()), inMarkdown(f.how))
	}
	if s.Recovery != "" {
		section("Recovery")
		drawn(s.Recovery)
	}
	if s.Expandable != "" {
		section("Size")
		drawn(s.Expandable)
	}
	section("Where it holds")
	drawn(s.Surveyed)
	section("Rules")
	fmt.Fprintf(&b, "%s\n\n%s\n", inMarkdown(s.Rules), inMarkdown(s.falls()))
	section("How to repeat this")
	lines := []string{}
	s.repeat(func(text string) { lines = append(lines, inMarkdown(text)) }, func(text string) { lines = append(lines, asItStands(text)) })
	b.WriteString(strings.Join(lines, "\n\n") + "\n")
	return b.String()
}

// asItStands is a text that Markdown shows as it stands, and that no terminal obeys.
func asItStands(text string) string {
	text = say.Printable(text)
	fence := "```"
	for strings.Contains(text, fence) {
		fence += "`"
	}
	return fence + "\n" + text + "\n" + fence
}

// sent says which number is shown and what came of it.
func (s *sheet) sent() string {
	return "Number " + s.Sent + ", sent to the machine at rest; ticks and steps. " + s.Came
}

// falls says how pulses fall.
func (s *sheet) falls() string {
	return "A pulse that is fired falls " + s.Fall + " unless send says otherwise."
}

// by is who and which.
func (s *sheet) by() (lines [][2]string) {
	for _, l := range [...][2]string{{"version", s.Version}, {"author", s.Author}, {"note", s.Note}} {
		if l[1] != "" {
			lines = append(lines, l)
		}
	}
	return lines
}

func (f figure) shown() string {
	if f.value == "" {
		return "could not be measured"
	}
	return f.value
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// inMarkdown makes a text safe inside a line of Markdown.
func inMarkdown(s string) string {
	return strings.NewReplacer("\\", "\\\\", "|", "\\|", "<", "&lt;", "*", "\\*", "_", "\\_", "`", "\\`", "[", "\\[", "#", "\\#").Replace(say.OneLine(s))
}

// sheetStyle is the look of the page, for paper and screen, light and dark.
const sheetStyle = `body{font:16px/1.45 system-ui,sans-serif;max-width:62rem;margin:2rem auto;padding:0 1rem;color:#1c1c21;background:#fff}
h1{margin-bottom:.2rem}h2{margin-top:2rem;border-bottom:1px solid #cdcfd8}
table{border-collapse:collapse}td,th{border:1px solid #cdcfd8;padding:.25rem .6rem;text-align:left;vertical-align:top}
pre{overflow:auto;padding:.6rem;border:1px solid #e6e7ec;font:13px/1.3 ui-monospace,"DejaVu Sans Mono",Menlo,Consolas,monospace}
.wrap{white-space:pre-wrap}
figure{margin:1rem 0}svg{max-width:100%;height:auto}
@media (prefers-color-scheme:dark) and (not print){body{color:#e7e8ec;background:#15171b}}`

// html writes the page as one file, its pictures inside as SVG.
func (s *sheet) html() string {
	var b strings.Builder
	e := html.EscapeString
	fmt.Fprintf(&b, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>%s</title>\n<style>%s</style>\n</head>\n<body>\n<h1>%s</h1>\n", e(s.Name), sheetStyle, e(s.Name))
	for _, l := range s.by() {
		fmt.Fprintf(&b, "<div>%s: %s</div>\n", e(l[0]), e(l[1]))
	}
	section := func(title string) { fmt.Fprintf(&b, "<h2>%s</h2>\n", title) }
	para := func(text string) { fmt.Fprintf(&b, "<p>%s</p>\n", e(text)) }
	pre := func(text string) { fmt.Fprintf(&b, "<pre class=\"wrap\">%s</pre>\n", e(text)) }
	drawn := func(svg, id, text string) {
		if svg == "" {
			fmt.Fprintf(&b, "<pre>%s</pre>\n", e(text))
			return
		}
		fmt.Fprintf(&b, "<figure>\n%s</figure>\n", picture.Inline(svg, id))
		fmt.Fprintf(&b, "<details><summary>as text</summary><pre>%s</pre></details>\n", e(text))
	}
	if s.Does != "" {
		section("What it does, in the words of its script")
		pre(s.Does)
	}
	section("Edge by edge")
	para(s.sent())
	pre(s.Edges)
	section("Timing")
	para("The same number.")
	drawn(s.timingSVG, "timing", s.Timing)
	section("Map")
	para(upperFirst(s.MapOf) + ".")
	drawn(s.mapSVG, "map", s.Map)
	if len(s.Ports) > 0 {
		section("Ports")
		b.WriteString("<table>\n<tr><th>port</th><th>what it is</th></tr>\n")
		for _, p := range s.Ports {
			fmt.Fprintf(&b, "<tr><td>%s</td><td>%s</td></tr>\n", e(p[0]), e(p[1]))
		}
		b.WriteString("</table>\n")
	}
	s.kinds(section, func(name string) { fmt.Fprintf(&b, "<h3>%s</h3>\n", e(name)) }, pre)
	section("Figures")
	b.WriteString("<table>\n<tr><th>figure</th><th>value</th><th>how it was obtained</th></tr>\n")
	for _, f := range s.figures {
		fmt.Fprintf(&b, "<tr><td>%s</td><td>%s</td><td>%s</td></tr>\n", e(f.head()), e(f.shown()), e(f.how))
	}
	b.WriteString("</table>\n")
	if s.Recovery != "" {
		section("Recovery")
		pre(s.Recovery)
	}
	if s.Expandable != "" {
		section("Size")
		pre(s.Expandable)
	}
	section("Where it holds")
	pre(s.Surveyed)
	section("Rules")
	pre(s.Rules)
	para(s.falls())
	section("How to repeat this")
	s.repeat(para, pre)
	b.WriteString("</body>\n</html>\n")
	return b.String()
}
