package picture

import (
	"pulsewright/builtins/say"

	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// svg writes a picture as SVG: rectangles, lines, paths and text, in classes whose looks stand in one place. The same
// picture gives the same bytes.
type svg struct{ strings.Builder }

// svgStyle is the look of all pictures, with the hues of the terminal (lang/steplog/palette.go): dark ink on paper, blue for what is live, out, on
// or lit, orange for what is armed or came to nothing, violet for slugs and cursors, which people who do not tell red from green tell apart; shape says the same. A reader who prefers dark gets
// it dark, paper gets it light.
const svgStyle = `
text{font:12px ui-monospace,"DejaVu Sans Mono",Menlo,Consolas,monospace;fill:#1c1c21}
.paper{fill:#ffffff}
.title,.best{font-weight:bold}
.small,.dim{font-size:10px}
.dim{fill:#5d5f68}
.tag{font-size:10px;font-weight:bold}
.mid{text-anchor:middle}
.end{text-anchor:end}
.grid{stroke:#e6e7ec;stroke-width:1;fill:none}
.grid5{stroke:#cdcfd8;stroke-width:1;fill:none}
.tick{stroke:#6c6f79;stroke-width:1.5;fill:none}
.fold{fill:#f1f2f5}
.wave{stroke:#0b4f8a;stroke-width:1.8;fill:none;stroke-linejoin:round}
.under{fill:#0b4f8a;fill-opacity:.14}
.faint{stroke-dasharray:2 3}
.width{fill:#0b4f8a;font-size:11px}
.note{stroke:#ad4500;stroke-width:1.8;fill:none}
.noteink{fill:#ad4500;font-size:11px;font-weight:bold}
.notefill{fill:#ad4500}
.cursor{stroke:#6a3d9a;stroke-width:1.5;stroke-dasharray:6 3;fill:none}
.cursorink{fill:#6a3d9a;font-weight:bold}
.part{fill:#ffffff;stroke:#6c6f79;stroke-width:1.2}
.on{fill:#0b4f8a;stroke:#0b4f8a;stroke-width:1.2}
.onink{fill:#ffffff;font-weight:bold}
.face{fill:#6c6f79}
.faceon{fill:#ffffff}
.dead{stroke:#6c6f79;stroke-width:3;fill:none;stroke-linecap:round}
.live{stroke:#0b4f8a;stroke-width:7;fill:none;stroke-linecap:round}
.armed{stroke:#ad4500;stroke-width:2.4;stroke-dasharray:4 2.5;fill:none}
.badge{fill:#ffffff;stroke:#6c6f79;stroke-width:1}
.armedbadge{stroke:#ad4500}
.livebadge{stroke:#0b4f8a}
.slug{fill:#ffffff;stroke:#6a3d9a;stroke-width:2}
.slugink{fill:#6a3d9a;font-size:10px;font-weight:bold}
@media screen and (prefers-color-scheme:dark){
text{fill:#e7e8ec}
.paper{fill:#15171b}
.dim{fill:#a2a5af}
.grid{stroke:#262930}
.grid5{stroke:#3b3f49}
.tick{stroke:#9da1ac}
.fold{fill:#1d2026}
.wave{stroke:#86bdf3}
.under{fill:#86bdf3;fill-opacity:.2}
.width{fill:#a9d0f7}
.note{stroke:#ffab66}
.noteink,.notefill{fill:#ffab66}
.cursor{stroke:#c9aef2}
.cursorink{fill:#c9aef2}
.part{fill:#15171b;stroke:#9da1ac}
.on{fill:#86bdf3;stroke:#86bdf3}
.onink{fill:#10141a}
.face{fill:#9da1ac}
.faceon{fill:#10141a}
.dead{stroke:#9da1ac}
.live{stroke:#86bdf3}
.armed{stroke:#ffab66}
.badge{fill:#15171b;stroke:#9da1ac}
.armedbadge{stroke:#ffab66}
.livebadge{stroke:#86bdf3}
.slug{fill:#15171b;stroke:#c9aef2}
.slugink{fill:#c9aef2}
}
`

// NewSVG begins a picture of so many pixels with a title and a description for those who do not see it.
func NewSVG(width, height float64, title, about string) *svg {
	s := new(svg)
	s.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	s.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="` + px(width) + `" height="` + px(height) +
		`" viewBox="0 0 ` + px(width) + " " + px(height) + `" role="img" aria-labelledby="title about">` + "\n")
	s.WriteString(`<title id="title">` + escape(title) + "</title>\n" + `<desc id="about">` + escape(about) + "</desc>\n")
	s.WriteString("<style>" + svgStyle + "</style>\n")
	s.Rect("paper", 0, 0, width, height, 0)
	return s
}

// Done ends the picture.
func (s *svg) Done() string {
	s.WriteString("</svg>\n")
	return s.String()
}

// Extent is how wide and how high a picture is, in pixels.
func Extent(picture string) (wide, high int) {
	var w, h float64
	if _, after, ok := strings.Cut(picture, `viewBox="0 0 `); ok {
		fmt.Sscan(after, &w, &h)
	}
	return int(math.Ceil(w)), int(math.Ceil(h))
}

// Inline makes a picture a piece of an HTML page, where what its parts are called shows when somebody points at them. Id tells the
// pictures of a page apart.
func Inline(picture, id string) string {
	_, picture, _ = strings.Cut(picture, "?>\n")
	return strings.NewReplacer(`aria-labelledby="title about"`, `aria-labelledby="`+id+`-title `+id+`-about"`,
		`<title id="title">`, `<title id="`+id+`-title">`, `<desc id="about">`, `<desc id="`+id+`-about">`).Replace(picture)
}

// Bare is Inline without its style, for a page that holds another one inline.
func Bare(picture, id string) string {
	return strings.Replace(Inline(picture, id), "<style>"+svgStyle+"</style>\n", "", 1)
}

func (s *svg) Rect(class string, x, y, w, h, round float64) {
	s.WriteString(`<rect class="` + class + `" x="` + px(x) + `" y="` + px(y) + `" width="` + px(w) + `" height="` + px(h) + `"`)
	if round > 0 {
		s.WriteString(` rx="` + px(round) + `"`)
	}
	s.WriteString("/>\n")
}

func (s *svg) Line(class string, x1, y1, x2, y2 float64) {
	s.WriteString(`<line class="` + class + `" x1="` + px(x1) + `" y1="` + px(y1) + `" x2="` + px(x2) + `" y2="` + px(y2) + `"/>` + "\n")
}

func (s *svg) circle(class string, x, y, r float64) {
	s.WriteString(`<circle class="` + class + `" cx="` + px(x) + `" cy="` + px(y) + `" r="` + px(r) + `"/>` + "\n")
}

func (s *svg) path(class, d string) {
	s.WriteString(`<path class="` + class + `" d="` + d + `"/>` + "\n")
}

func (s *svg) Text(class string, x, y float64, text string) {
	if text == "" {
		return
	}
	s.WriteString(`<text class="` + class + `" x="` + px(x) + `" y="` + px(y) + `">` + escape(text) + "</text>\n")
}

// group begins what belongs together and has a name that readers show; end ends it.
func (s *svg) group(title string) {
	s.WriteString("<g><title>" + escape(title) + "</title>\n")
}

func (s *svg) end() { s.WriteString("</g>\n") }

// at writes a point of a path.
func at(x, y float64) string { return px(x) + " " + px(y) }

// px writes a number with at most two digits behind the point.
func px(x float64) string {
	return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64)
}

// escape makes a text safe inside XML.
func escape(s string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(say.Clean(s)))
	return b.String()
}

// fillNotes puts the notes below a picture into lines that fit its width.
func fillNotes(texts []string, width float64) (lines []string) {
	room := int((width - 2*svgMargin) / 6.1)
	for _, t := range texts {
		if n := len(lines); n > 0 && say.Columns(lines[n-1])+3+say.Columns(t) <= room {
			lines[n-1] += " · " + t
		} else {
			lines = append(lines, t)
		}
	}
	return lines
}
