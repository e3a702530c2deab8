package lang

import (
	"context"
	"strings"
	"testing"
)

// TestLoops: a value that lies in itself, by way of a table or a struct, ends no process: a table writes dots for it, of a struct it is an error.
func TestLoops(t *testing.T) {
	var out strings.Builder
	s := newSession(t, Config{Out: &out})
	src := `
l = []
l.append(table([[l, 1]], head=["berth", "lamp"]))
print(l)
expect_equal(str(l), "[berth  lamp\n-----  ----\n...       1]")
expect_equal("%s" % l, str(l))
d = {}
d["quay"] = table([["v", table([[d]])]])
expect_equal(str(d["quay"]), "v  ...")
expect_equal(sweep(lambda n: n + len(l) + len(d), [1, 2]).column("result"), [3, 4])
s = []
s.append(struct(berth=s))
for write in [str, repr, print, fail, lambda v: table([[v]]), lambda v: json.encode(v), lambda v: sweep(lambda n: n, [v])]:
    expect_error(lambda: write(s), "a struct lies in itself")
expect_error(lambda: sweep(lambda n: s, [1]), "a struct lies in itself")
`
	if err := s.Command(context.Background(), src); err != nil {
		t.Error(FormatError(err, s.cfg.ErrPalette))
	}
	if err := s.Command(context.Background(), "s"); err != nil || !strings.Contains(out.String(), "a struct lies in itself") {
		t.Errorf("%v, %q", err, out.String())
	}
}
