package play

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

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
	if !strings.Contains(pageStyle, ".player svg{width:100%;max-height:") {
		t.Error("the map does not grow with the window")
	}
	pause := regexp.MustCompile(`var pause = (\d+);`).FindStringSubmatch(pageScript)
	if pause == nil || len(pause[1]) != 3 || pause[1] < "334" {
		t.Errorf("the pause between two pictures is %v ms", pause)
	}
	if !strings.Contains(pageStyle, "@media print{") || !strings.Contains(pageStyle, "prefers-color-scheme:dark") {
		t.Error("the page has no look on paper, or none on dark ground")
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
