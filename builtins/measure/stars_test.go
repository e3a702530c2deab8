package measure

import (
	"pulsewright/builtins/stage"

	"testing"
)

// TestNotes: what stands below a comparison is so: a star is spoken of where one stands, and a law names the sizes it was found at.
func TestNotes(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, rowOf+`
def noted(more):
    return design("row", row(more), send, read, [2, 5], pitch=(2, 0, 0))
r = compare([noted(lambda size: 0)], runs=1)
sizes = "slices and growth: found at sizes 1 to 24, 37, 48, 61; of other sizes nothing is known"
expect_equal(list(r.notes), [sizes])
expect(str(r).endswith("\n" + sizes), str(r))

# A kink where nothing is measured.
expect(sizes in compare([noted(lambda size: max(0, size - 64))], runs=1).notes)

# Two that are equal have no star; then one has.
r = compare([noted(lambda size: 0), noted(lambda size: 0)], runs=1)
expect_equal([k for k in r.best if r.best[k]], [])
expect_equal(r.notes[0], "no * anywhere: where all were measured alike, they do not differ")
r = compare([noted(lambda size: 0), noted(lambda size: 1)], runs=1)
expect_equal(r.notes[0], "* the best of its row, where all were measured alike and they differ")

# No size, no law: nothing stands below the table.
def one(f):
    return row(lambda size: 0)(f, 1)
r = compare([design("one", one, send, read, [2, 5])])
expect_equal(list(r.notes), [])
expect(not str(r).endswith("\n"), str(r))

def bare(f, size):
    w = f.wire((0, 0), (2 * size, 0))
    return struct(into=w.first, out=probe(w.last))
r = compare([design("bare", bare, send, read, [2, 5], pitch=(2, 0, 0))], size=3, runs=1)
expect("growth of news; growth of level changes, of bare: found at sizes 1 to 12; of other sizes nothing is known" in r.notes, str(r))
`)
}
