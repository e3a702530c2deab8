package steplog

import (
	"math"
	"reflect"
	"regexp"
	"strconv"
	"testing"

	"pulsewright/builtins/say"
)

// TestNarrow: the signs of the log are one column wide whatever the locale says.
func TestNarrow(t *testing.T) {
	wide := *say.Widths
	wide.EastAsianWidth = true
	g := unicodeGlyphs
	for _, s := range []string{g.mark, g.rise, g.fall, g.move, g.lapse, g.block, g.nudge, g.set, g.dots} {
		if say.Widths.StringWidth(s) != 1 || wide.StringWidth(s) != 1 {
			t.Errorf("%q is not always one column wide", s)
		}
	}
}

// TestContrast: every colour stands out by 4.5 to 1, on black and on white (WCAG 2.2, 1.4.3), and none is only fainter than the terminal's own.
func TestContrast(t *testing.T) {
	levels := [6]float64{0, 95, 135, 175, 215, 255}
	luminance := func(n int) float64 {
		rgb := [3]float64{levels[max(n-16, 0)/36%6], levels[max(n-16, 0)/6%6], levels[max(n-16, 0)%6]}
		if n >= 232 {
			grey := float64(8 + 10*(n-232))
			rgb = [3]float64{grey, grey, grey}
		}
		sum := 0.0
		for i, weight := range [3]float64{0.2126, 0.7152, 0.0722} {
			c := rgb[i] / 255
			if c <= 0.04045 {
				c /= 12.92
			} else {
				c = math.Pow((c+0.055)/1.055, 2.4)
			}
			sum += weight * c
		}
		return sum
	}
	seen := 0
	roles := reflect.ValueOf(Colours())
	for i := range roles.NumField() {
		name, sgr := roles.Type().Field(i).Name, roles.Field(i).String()
		if regexp.MustCompile(`\x1b\[(\d+;)*2m`).MatchString(regexp.MustCompile(`38;5;\d+`).ReplaceAllString(sgr, "")) {
			t.Errorf("%s is %q, which some terminals hardly show", name, sgr)
		}
		m := regexp.MustCompile(`38;5;(\d+)`).FindStringSubmatch(sgr)
		if m == nil {
			continue
		}
		seen++
		n, _ := strconv.Atoi(m[1])
		if n < 16 {
			t.Errorf("%s is colour %d, which every terminal has another hue for", name, n)
		}
		if l := luminance(n); 1.05/(l+0.05) < 4.5 || (l+0.05)/0.05 < 4.5 {
			t.Errorf("%s, colour %d: %.2f on white, %.2f on black", name, n, 1.05/(l+0.05), (l+0.05)/0.05)
		}
	}
	if seen < 5 {
		t.Errorf("only %d roles have a colour", seen)
	}
}
