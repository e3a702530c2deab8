package play

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pulsewright/builtins/picture"
	"pulsewright/builtins/stage"
)

// TestPageLooks: the page and the pictures in it have no class in common, so that neither dresses the other; it is never drawn anew more than three
// times a second.
func TestPageLooks(t *testing.T) {
	s := stage.MustDo(t, pier+"run()")
	f := caught(t, s, "play(since=0)")[0]
	m, err := f.picture(1)
	if err != nil {
		t.Fatal(err)
	}
	drawn := m.Svg()
	for _, c := range regexp.MustCompile(`\.([a-z]+)`).FindAllStringSubmatch(pageStyle, -1) {
		if strings.Contains(drawn, "\n."+c[1]+"{") || strings.Contains(drawn, "."+c[1]+",") {
			t.Errorf("class %s is one of the page and one of its pictures", c[1])
		}
	}
	if !regexp.MustCompile(`\.board svg\{[^}]*width:max\([^}]*var\(--wide\)[^}]*100%`).MatchString(pageStyle) || !strings.Contains(pageStyle, ".board{overflow:auto;max-height:") {
		t.Error("the map does not grow with the window, or has no box in which it moves")
	}
	pause := regexp.MustCompile(`var pause = (\d+);`).FindStringSubmatch(pageScript)
	if pause == nil || len(pause[1]) != 3 || pause[1] < "334" {
		t.Errorf("the pause between two pictures is %v ms", pause)
	}
	if !strings.Contains(pageStyle, "@media print{") || !strings.Contains(pageStyle, "prefers-color-scheme:dark") {
		t.Error("the page has no look on paper, or none on dark ground")
	}
}

// TestPageOnPaper: on paper the strip stands in place of the player, whatever the page's script did to the screen.
func TestPageOnPaper(t *testing.T) {
	screen, paper, _ := strings.Cut(pageStyle, "@media print{")
	// All selectors are of classes and elements: the one with more classes outweighs the other, then the later one.
	display := func(style, part string) (most int, is string) {
		for _, rule := range regexp.MustCompile(`([^{}\n]+)\{([^}]*)\}`).FindAllStringSubmatch(style, -1) {
			shown := regexp.MustCompile(`(?:^|;)display:(\w+)`).FindStringSubmatch(rule[2])
			for selector := range strings.SplitSeq(rule[1], ",") {
				if words := strings.Fields(selector); shown != nil && words[len(words)-1] == part {
					if n := strings.Count(selector, "."); n >= most {
						most, is = n, shown[1]
					}
				}
			}
		}
		return most, is
	}
	for part, want := range map[string]string{".player": "none", ".stills": "block"} {
		n, _ := display(screen, part)
		if m, is := display(paper, part); is != want || m < n {
			t.Errorf("%s on paper: display is %q by %d classes, on the screen %d have their say", part, is, m, n)
		}
	}
	if !regexp.MustCompile(`\.strip svg\{max-height:\d+vh\}`).MatchString(paper) {
		t.Error("a still may be higher than a page")
	}
}

// TestPageFollows: the page knows how large its picture is, and where each turn begins, so that what changes can be brought into view.
func TestPageFollows(t *testing.T) {
	s := stage.MustDo(t, pier+"run()")
	f := caught(t, s, "play(since=0)")[0]
	film, before, _, err := f.draw()
	if err != nil {
		t.Fatal(err)
	}
	wide, high := picture.Extent(before)
	if wide < 100 || high < 50 || !strings.Contains(before, fmt.Sprintf(`width="%d" height="%d"`, wide, high)) {
		t.Errorf("the picture is %d x %d: %.200s", wide, high, before)
	}
	seen := 0
	for n, turn := range film.Turns {
		if turn.See == "" {
			continue
		}
		seen++
		c := f.frames[n+1].focus
		if want := fmt.Sprintf("c%d_%d_%d", c.X, c.Y, c.Z); turn.See != want || !strings.Contains(before, `id="`+want+`"`) {
			t.Errorf("turn %d: seen is %s, something happens first at %s", n+1, turn.See, want)
		}
	}
	if seen == 0 {
		t.Error("no turn says where to look")
	}
}

// TestPageContrast: what is written on the page, and in an empty field, stands out from its ground by 4.5 : 1, in the light and in the dark.
func TestPageContrast(t *testing.T) {
	light, dark, _ := strings.Cut(pageStyle, "@media screen")
	dark, _, _ = strings.Cut(dark, "@media print")
	color := func(style, selector, property string) string {
		m := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(selector) + `\{(?:[^}]*;)?` + property + `:(#[0-9a-f]{3,6})\b`).FindStringSubmatch(style)
		if m == nil {
			t.Fatalf("%s has no %s in\n%s", selector, property, style)
		}
		return m[1]
	}
	for name, style := range map[string]string{"light": light, "dark": dark} {
		field := "button,input"
		if style == dark {
			field = "button,input,.turns li[aria-current]"
		}
		page, inField := color(style, "body", "background"), color(style, field, "background")
		for _, c := range [][3]string{{"::placeholder", color(style, "::placeholder", "color"), inField}, {".wrong", color(style, ".wrong", "color"), page}, {"body", color(style, "body", "color"), page}, {".turns a", color(style, ".turns a", "color"), inField}} {
			if got := contrast(t, c[1], c[2]); got < 4.5 {
				t.Errorf("%s %s: %s on %s is %.2f : 1", name, c[0], c[1], c[2], got)
			}
		}
	}
}

// contrast is how much brighter one of two colours is, by the luminance of sRGB.
func contrast(t *testing.T, a, b string) float64 {
	luminance := func(c string) (y float64) {
		c = c[1:]
		if len(c) == 3 {
			c = string([]byte{c[0], c[0], c[1], c[1], c[2], c[2]})
		}
		for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
			n, err := strconv.ParseUint(c[2*i:2*i+2], 16, 8)
			if err != nil {
				t.Fatal(err)
			}
			v := float64(n) / 255
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			y += weight * v
		}
		return y
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}
