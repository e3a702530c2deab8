package scripts_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"testing"

	"pulsewright/lang"
)

// TestAnySize holds every design of the library that repeats a pitch apart to what expandable shows of it: the verdict, from which size on, and after how
// many sizes and slices it repeats. The machines that repeat after many slices cost some seconds each; of these only the echo receiver
// is tried unless PULSEWRIGHT_SIZES is set.
func TestAnySize(t *testing.T) {
	const repeater = "any size, 1 sizes, 1 slices"
	for _, d := range []struct {
		family string
		nth    int
		name   string
		want   string
		costly bool
	}{
		{"repeaters", 0, "flat repeater", repeater, false},
		{"repeaters", 1, "quick repeater", repeater, false},
		{"repeaters", 2, "standing repeater", repeater, false},
		{"repeaters", 3, "stretched repeater", repeater, false},
		{"repeaters", 4, "meter repeater", repeater, false},
		{"repeaters", 5, "reed repeater", repeater, false},
		{"repeaters", 6, "gate repeater", repeater, false},
		{"repeaters", 7, "close repeater", repeater, false},
		{"repeaters", 8, "two-reed station", repeater, false},
		{"panels", 0, "reed panel", "any size, 20 sizes, 20 slices", true},
		{"panels", 1, "delay panel", repeater, false},
		{"receivers", 0, "split receiver", "tested, None sizes, None slices: as built, size 51 is not size 50 with slices put in: of its 59 slices only the first 54 and the last 3 are made as there; " +
			"the same goes for 8 smaller sizes; no number of sizes up to 21 puts in slices like those before them, all touching only what is near; a longer one may show with a larger upto=", false},
		{"receivers", 1, "block receiver", "any size, 16 sizes, 17 slices", true},
		{"receivers", 2, "endless receiver", "any size, 17 sizes, 17 slices", true},
		{"receivers", 3, "echo receiver", "any size, 16 sizes, 17 slices", false},
	} {
		t.Run(d.name, func(t *testing.T) {
			if d.costly && os.Getenv("PULSEWRIGHT_SIZES") == "" {
				t.Skip("costs some seconds; PULSEWRIGHT_SIZES=1 runs it")
			}
			var out bytes.Buffer
			s, err := lang.New(lang.Config{Out: &out, Err: &out, Seed: 1, Dir: t.TempDir()})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			script := fmt.Sprintf(`load("lib/designs.star", "panels", "receivers", "repeaters")
d = %s()[%d]
r = expandable(d)
print(d.name + ": " + r.verdict + ", %%s sizes, %%s slices" %% (r.period, r.period_slices) + (": " + r.why if r.why else ""))
expect(r.verdict != "any size" or r.shown_from <= r.tested and r.beyond == 2 * r.tested, str(r))
expect(len(%s()) == %d)
`, d.family, d.nth, d.family, map[string]int{"repeaters": 9, "panels": 2, "receivers": 4}[d.family])
			if err := s.Exec(context.Background(), "anysize.star", script); err != nil {
				s.Report(err)
			}
			if got, want := out.String(), d.name+": "+d.want+"\n"; got != want {
				t.Errorf("got  %swant %s", got, want)
			}
		})
	}
}
