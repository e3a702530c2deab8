package picture

import (
	"pulsewright/builtins/stage"

	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// parseSVG reads a picture as XML and gives its texts and the classes it uses. It fails on anything but what our writer
// draws with: a picture runs no script and loads nothing.
func parseSVG(t *testing.T, text string) (texts []string, classes map[string]bool) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict = true
	classes = map[string]bool{}
	var stack []string
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		switch e := token.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "svg", "title", "desc", "style", "g", "rect", "line", "circle", "path", "text":
			default:
				t.Errorf("an element %s", e.Name.Local)
			}
			if len(stack) == 0 && (e.Name.Local != "svg" || e.Name.Space != "http://www.w3.org/2000/svg") {
				t.Errorf("the outermost element is %v", e.Name)
			}
			stack = append(stack, e.Name.Local)
			for _, a := range e.Attr {
				if strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Name.Local, "href") || strings.Contains(a.Value, "NaN") {
					t.Errorf("an attribute %s=%q", a.Name.Local, a.Value)
				}
				if a.Name.Local == "class" {
					for c := range strings.FieldsSeq(a.Value) {
						classes[c] = true
					}
				}
			}
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			if s := strings.TrimSpace(string(e)); s != "" && stack[len(stack)-1] != "style" {
				texts = append(texts, s)
			}
		}
	}
	for c := range classes {
		if !regexp.MustCompile(`(?m)[.]` + c + `[,{ ]`).MatchString(svgStyle) {
			t.Errorf("class %s has no look", c)
		}
	}
	if !strings.Contains(text, "prefers-color-scheme:dark") {
		t.Error("no dark look")
	}
	return texts, classes
}

// TestPicturesSVG: what the terminal shows in testdata's scripts, SVG can hold as well: valid XML, every lane, width and
// letter as text, the same bytes each time.
func TestPicturesSVG(t *testing.T) {
	script, err := os.ReadFile("testdata/map.star")
	if err != nil {
		t.Fatal(err)
	}
	more, err := os.ReadFile("testdata/scope.star")
	if err != nil {
		t.Fatal(err)
	}
	for piece := range strings.SplitSeq(string(script)+"\n---\n"+string(more), "\n---\n") {
		about, _, _ := strings.Cut(piece, "\n")
		t.Run(about, func(t *testing.T) {
			var was string
			for range 2 {
				s := stage.MustDo(t, piece)
				dir := stage.InFolder(t, s)
				if msg := s.Do("export(\"scope.svg\", of=parts() or [(0, 0)])\nexport(\"map.svg\", what=\"map\")"); msg != "" {
					t.Fatal(msg)
				}
				text := stage.Read(t, dir, "scope.svg") + stage.Read(t, dir, "map.svg")
				if was != "" && was != text {
					t.Error("the same pictures have other bytes")
				}
				was = text
				texts, _ := parseSVG(t, stage.Read(t, dir, "scope.svg"))
				all := "\n" + strings.Join(texts, "\n") + "\n"
				for id := range s.Bench.Parts() {
					if !strings.Contains(all, "\n"+s.Bench.Label(id)+"\n") {
						t.Errorf("no lane %s", s.Bench.Label(id))
					}
				}
				texts, _ = parseSVG(t, stage.Read(t, dir, "map.svg"))
				all = strings.Join(texts, "\n")
				for id := range s.Bench.Parts() {
					if !strings.Contains(all, s.Bench.Label(id)) {
						t.Errorf("the map does not name %s", s.Bench.Label(id))
					}
				}
			}
		})
	}
}

// TestScopeSVG holds the parts of one picture: widths, a pulse of 0 steps, a fold, cursors.
func TestScopeSVG(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(`
w = wire((0, 0), name="quay")
fire(w, 7)
run()
fire(w, 0, at=5)
run()
export("x.svg", of=[w], between=((1, 0), (1, 7)))
`); msg != "" {
		t.Fatal(msg)
	}
	texts, classes := parseSVG(t, stage.Read(t, dir, "x.svg"))
	for _, want := range []string{"quay", "7", "0", "A", "B", "tick 1", "tick 5", "3", "quiet"} {
		found := false
		for _, text := range texts {
			found = found || text == want
		}
		if !found {
			t.Errorf("no text %q in %q", want, texts)
		}
	}
	if all := strings.Join(texts, "\n"); !strings.Contains(all, "A to B: 7 steps") || !strings.Contains(all, "a pulse of 0 steps") {
		t.Errorf("the notes are %s", all)
	}
	for _, c := range []string{"wave", "under", "note", "notefill", "cursor", "fold", "grid", "tick"} {
		if !classes[c] {
			t.Errorf("nothing of class %s", c)
		}
	}
}

// TestHostileSVG: no name breaks a picture.
func TestHostileSVG(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if err := stage.NameEvil(s.Bench); err != nil {
		t.Fatal(err)
	}
	if msg := s.Do(`
lamp((0, 0), name="<script>alert('quay')</script>")
lamp((1, 0), name="a & b \"c\" ]]>")
lamp((2, 0), name="Hafen \u00fc\u4e2d\u6587")
fire((4, 5), 3)
run()
export("scope.svg", of=parts())
export("map.svg", what="map")
`); msg != "" {
		t.Fatal(msg)
	}
	for _, file := range []string{"scope.svg", "map.svg"} {
		texts, _ := parseSVG(t, stage.Read(t, dir, file))
		for _, text := range texts {
			if strings.ContainsAny(text, "\x1b\x00\u009b\u202e") {
				t.Errorf("%q in %s", text, file)
			}
		}
		if !strings.Contains(strings.Join(texts, "\n"), "<script>alert('quay')</script>") {
			t.Errorf("the name of a lamp is not in %s", file)
		}
	}
}

// TestMapTooLarge: a map that no reader could open is refused, with what to do instead.
func TestMapTooLarge(t *testing.T) {
	s := stage.New()
	stage.InFolder(t, s)
	msg := s.Do(fmt.Sprintf("for y in range(60):\n    wire((0, y), (%d, y))\nexport(\"map.svg\", what=\"map\")", SvgTiles/50))
	if want := "export: the map would hold 12060 parts, at most 10000 fit: choose with z=, box= or frame="; msg != want {
		t.Errorf("got %q, want %q", msg, want)
	}
	if msg := s.Do("export(\"map.svg\", what=\"map\", box=((0, 0), (20, 20)))\nmap()"); msg != "" {
		t.Error(msg)
	}
	if n := strings.Count(s.Printed.String(), "\n"); n > mapRows+200 {
		t.Errorf("the map in the terminal has %d lines", n)
	}
}

// looks reads a style: of each class what its properties are, on light and on dark ground.
func looks(t *testing.T, style string) (light, dark map[string]map[string]string) {
	t.Helper()
	read := func(into map[string]map[string]string, text string) {
		for _, rule := range regexp.MustCompile(`(?m)^([^{@\n]+)\{([^}]*)\}`).FindAllStringSubmatch(text, -1) {
			for class := range strings.SplitSeq(rule[1], ",") {
				class = strings.TrimPrefix(strings.TrimSpace(class), ".")
				if into[class] == nil {
					into[class] = map[string]string{}
				}
				for p := range strings.SplitSeq(rule[2], ";") {
					if name, value, ok := strings.Cut(p, ":"); ok {
						into[class][name] = value
					}
				}
			}
		}
	}
	plain, night, ok := strings.Cut(style, "@media screen and (prefers-color-scheme:dark){\n")
	if !ok {
		t.Fatal("no dark look")
	}
	light, dark = map[string]map[string]string{}, map[string]map[string]string{}
	read(light, plain)
	read(dark, plain)
	read(dark, night)
	return light, dark
}

// luminance is that of a colour such as #0b4f8a, as WCAG 2.2 has it; ground shines through what is not opaque.
func luminance(t *testing.T, colour, ground string, opacity float64) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		part := func(s string) float64 {
			n, err := strconv.ParseUint(s[1+2*i:3+2*i], 16, 8)
			if err != nil || len(s) != 7 {
				t.Fatalf("%q is no colour", s)
			}
			return float64(n)
		}
		c := (part(colour)*opacity + part(ground)*(1-opacity)) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// TestContrast: texts, and lines that say something, stand out by 4.5 to 1 from what they may lie on, light and dark. Grids say nothing and
// may be faint.
func TestContrast(t *testing.T) {
	light, dark := looks(t, svgStyle)
	for name, look := range map[string]map[string]map[string]string{"light": light, "dark": dark} {
		for _, c := range []struct{ class, property, on string }{
			{"text", "fill", "paper"}, {"dim", "fill", "paper"}, {"dim", "fill", "fold"}, {"width", "fill", "paper"}, {"width", "fill", "under"}, {"noteink", "fill", "paper"},
			{"noteink", "fill", "badge"}, {"noteink", "fill", "under"}, {"cursorink", "fill", "paper"}, {"text", "fill", "part"}, {"text", "fill", "badge"}, {"onink", "fill", "on"}, {"slugink", "fill", "slug"},
			{"width", "fill", "badge"}, {"wave", "stroke", "paper"}, {"note", "stroke", "paper"}, {"notefill", "fill", "paper"}, {"cursor", "stroke", "paper"}, {"part", "stroke", "paper"}, {"on", "fill", "paper"},
			{"face", "fill", "part"}, {"faceon", "fill", "on"}, {"dead", "stroke", "paper"}, {"live", "stroke", "paper"}, {"armed", "stroke", "paper"}, {"slug", "stroke", "paper"},
			{"badge", "stroke", "paper"}, {"tick", "stroke", "paper"},
		} {
			opacity := 1.0
			if o := look[c.on]["fill-opacity"]; o != "" {
				opacity, _ = strconv.ParseFloat(o, 64)
			}
			paper := look["paper"]["fill"]
			a, b := luminance(t, look[c.class][c.property], paper, 1), luminance(t, look[c.on]["fill"], paper, opacity)
			if ratio := (max(a, b) + 0.05) / (min(a, b) + 0.05); ratio < 4.5 {
				t.Errorf("%s: %s on %s: %.2f to 1", name, c.class, c.on, ratio)
			}
		}
	}
}
