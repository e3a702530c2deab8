package play

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"html"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
)

// What a page may hold: larger ones no browser plays smoothly.
const (
	pageTurns = 1000
	pageTiles = 2000
	mostStill = 12 // pictures of the strip
)

//go:embed page.css
var pageStyle string

//go:embed page.js
var pageScript string

// pageTurn is a turn as the page's script reads it.
type pageTurn struct {
	At    string         `json:"at"`
	Story []string       `json:"story"`
	Mark  bool           `json:"mark,omitempty"` // it stops here
	Draw  map[string]int `json:"draw"`           // which look each slot of the picture gets
	See   string         `json:"see,omitempty"`  // the slot of these where something happened first
}

// pageFilm is what the page's script reads.
type pageFilm struct {
	Pace  float64    `json:"pace"`
	Turns []pageTurn `json:"turns"`
	Looks []string   `json:"looks"`
}

// still is a picture of the strip, after turn n.
type still struct {
	n   int
	svg string
}

// Page makes a film of the past, since and until as given, and writes it as one page for a browser that loads nothing.
func Page(c *builtins.Call) string {
	marks := marksOf(c)
	if c.Err != nil {
		return ""
	}
	f := filmOf(c, 0)
	if c.Err != nil {
		return ""
	}
	switch n := len(f.frames) - 1; {
	case n < 1:
		c.Fail("nothing has happened that could be played")
	case n > pageTurns:
		c.Fail("something happens in %d turns, a page holds at most %d: choose with since= and until=", n, pageTurns)
	case f.chart.Parts() > pageTiles:
		c.Fail("the map would hold %d parts, at most %d fit on such a page: choose with z=, box= or frame=", f.chart.Parts(), pageTiles)
	}
	if c.Err != nil {
		return ""
	}
	if f.mark(c, marks); c.Err != nil {
		return ""
	}
	page, err := f.page(picture.ScopeFilmOf(c, "", f.first, f.end))
	if err == nil {
		err = c.Env.Stopped() // its diagram may lack lanes
	}
	if err != nil {
		c.Wrap(err)
	}
	return page
}

// draw collects what changes from turn to turn, the picture before the first, and those of the strip.
func (f *film) draw() (film pageFilm, before string, strip []still, err error) {
	film = pageFilm{Pace: 1}
	known := map[string]int{}
	var looks []lookOf
	f.chart.Slotted(true)
	m, err := f.picture(0)
	if err != nil {
		return
	}
	before = m.SvgAlone()
	tiles := m.Tiles()
	stills := f.stills()
	for n := 1; n < len(f.frames); n++ {
		if m, err = f.picture(n); err != nil {
			return
		}
		t := pageTurn{At: f.frames[n].at.String(), Story: f.frames[n].story, Mark: f.Marked(n), Draw: map[string]int{}}
		now := m.Tiles()
		for slot, look := range m.Changed(tiles, now) {
			if _, ok := known[look]; !ok {
				known[look] = -1
			}
			t.Draw[slot] = 0
			looks = append(looks, lookOf{n - 1, slot, look})
		}
		if slot := m.Slot(f.frames[n].focus); slot != "" {
			if _, drawn := t.Draw[slot]; drawn {
				t.See = slot
			}
		}
		film.Turns = append(film.Turns, t)
		tiles = now
		if slices.Contains(stills, n) {
			plain := *m
			plain.Slotted(false)
			strip = append(strip, still{n, plain.SvgAlone()})
		}
	}
	// Looks are numbered in an order that does not hang on that of a map.
	slices.SortFunc(looks, lookOf.compare)
	for _, l := range looks {
		if known[l.look] < 0 {
			known[l.look] = len(film.Looks)
			film.Looks = append(film.Looks, l.look)
		}
		film.Turns[l.turn].Draw[l.slot] = known[l.look]
	}
	return film, before, strip, nil
}

// lookOf is that a slot gets a look in a turn.
type lookOf struct {
	turn       int
	slot, look string
}

func (l lookOf) compare(m lookOf) int {
	if l.turn != m.turn {
		return l.turn - m.turn
	}
	return strings.Compare(l.slot, m.slot)
}

// stills are the turns whose pictures make the strip: the last of each step, or some of these.
func (f *film) stills() (turns []int) {
	for n := 1; n < len(f.frames); n++ {
		if n+1 == len(f.frames) || f.frames[n].at.Tick != f.frames[n+1].at.Tick || f.frames[n].at.Step != f.frames[n+1].at.Step {
			turns = append(turns, n)
		}
	}
	for len(turns) > mostStill {
		some := make([]int, 0, mostStill)
		for i := range mostStill {
			some = append(some, turns[(len(turns)-1)*i/(mostStill-1)])
		}
		turns = some
	}
	return turns
}

// page writes the page. It can be read without its script, and printed: then a strip of stills stands in place of the player.
func (f *film) page(scope *picture.ScopeFilm) (string, error) {
	film, before, strip, err := f.draw()
	if err != nil {
		return "", err
	}
	data, err := json.Marshal(film) // escapes <, so that it can stand inside a script element
	if err != nil {
		return "", err
	}
	turns := say.Count(len(f.frames)-1, "turn")
	span := fmt.Sprintf("%v to %v", f.frames[1].at, f.frames[len(f.frames)-1].at)
	wide, high := picture.Extent(before)
	var b strings.Builder
	e := func(text string) string { return html.EscapeString(strings.ToValidUTF8(text, "\ufffd")) }
	fmt.Fprintf(&b, `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>%[1]s, %[2]s</title>
<style>
%[3]s</style>
</head>
<body>
<h1>%[1]s, %[2]s</h1>
<p>Instants are tick.step.turn. Turns in which nothing happened are passed over.</p>
<section id="player" class="player" tabindex="0" aria-label="Player. Space goes or stands, right and left a turn, down and up a step, plus and minus the pace, Home and End the two ends, g to an instant.">
<div class="where" id="where"></div>
<figure class="board" id="board" style="--wide:%[6]d;--high:%[7]d">
%[4]s</figure>
<div class="caption" id="caption" role="status" aria-live="polite"></div>
<div class="controls">
<button type="button" id="go" data-do="go">Go</button>
<button type="button" data-do="back">Turn back</button>
<button type="button" data-do="on">Turn on</button>
<button type="button" data-do="stepback">Step back</button>
<button type="button" data-do="stepon">Step on</button>
<button type="button" data-do="first">Start</button>
<button type="button" data-do="last">End</button>
</div>
<div class="controls">
<input type="range" id="slider" min="0" max="%[5]d" value="0" aria-label="turn">
<label>to <input type="text" id="to" inputmode="decimal" placeholder="tick.step" aria-describedby="wrong"></label>
<button type="button" data-do="slower">Slower</button>
<button type="button" data-do="faster">Faster</button>
<span id="pace"></span>
</div>
<p class="wrong" id="wrong" role="alert"></p>
<p>Keys: space goes or stands, right and left a turn, down and up a step, + and - the pace, Home and End the two ends, g to an instant: then Enter goes there, and Esc leaves it. Page Up and Page Down scroll the page; on the slider they go ten turns on and back. A picture larger than its box goes along with what changes; Shift with an arrow moves it.</p>
</section>
`, e(turns), e(span), pageStyle, picture.Inline(before, "before"), len(f.frames)-1, wide, high)
	b.WriteString("<section class=\"stills\">\n<h2>Stills</h2>\n<div class=\"strip\">\n")
	figure := func(svg, id, text string) {
		fmt.Fprintf(&b, "<figure>\n%s<figcaption>%s</figcaption>\n</figure>\n", picture.Bare(svg, id), e(text))
	}
	for _, s := range strip {
		figure(s.svg, fmt.Sprintf("still%d", s.n), fmt.Sprintf("After turn %d of %d, at %v.", s.n, len(f.frames)-1, f.frames[s.n].at))
	}
	b.WriteString("</div>\n</section>\n<h2>Names and signs</h2>\n")
	for _, line := range f.chart.Notes() {
		fmt.Fprintf(&b, "<div>%s</div>\n", e(line))
	}
	b.WriteString("<h2>Turn by turn</h2>\n<ol class=\"turns\">\n")
	for n, fr := range f.frames[1:] {
		fmt.Fprintf(&b, "<li id=\"turn%[1]d\"><a href=\"#turn%[1]d\" data-turn=\"%[1]d\">%[2]v</a><div>", n+1, fr.at)
		for _, s := range fr.story {
			fmt.Fprintf(&b, "<p>%s</p>", e(s))
		}
		b.WriteString("</div></li>\n")
	}
	b.WriteString("</ol>\n<h2>Timing</h2>\n")
	fmt.Fprintf(&b, "<figure>\n%s</figure>\n", picture.Bare(scope.SVG(), "timing"))
	fmt.Fprintf(&b, "<script type=\"application/json\" id=\"film\">%s</script>\n<script>\n%s</script>\n</body>\n</html>\n", data, pageScript)
	return b.String(), nil
}
