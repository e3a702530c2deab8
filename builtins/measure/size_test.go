package measure

import (
	"pulsewright/builtins/stage"
	"testing"
)

// sizedRows are rows of gates whose build takes a size, one with a default, one that takes none, and one whose second parameter is no size.
const sizedRows = `
def row(f, size):
    for k in range(size):
        f.gate((2 * k, 0), "+x", "buf", pads=[(-1, 0, 0)])
        f.wire((2 * k + 1, 0))
    return struct(out=probe(f.part((2 * size - 1, 0))), into=f.cell((-1, 0)))
def usual(f, size=3):
    return row(f, size)
def one(f):
    return row(f, 1)
def coloured(f, colour="red"):
    return row(f, 1)
def rest(f, *more, **named):
    return row(f, 1)
def send(rig, n):
    fire(rig.into, n)
def read(rig):
    return rig.out.width
def over(size):
    return [size, size + 1]
def of(name, build, over=[2, 3]):
    return design(name, build, send, read, over, pitch=(2, 0, 0))
needs, has, none, colour, tail = of("needs", row), of("has", usual), of("none", one), of("colour", coloured), of("tail", rest)
words = [sweep, survey, recovery, compare, datasheet, expandable]
def call(word, d, **named):
    if word == compare:
        return compare([d], runs=50, **named)
    if word == survey:
        return survey(d, travel=[2], runs=50, **named)
    if word == datasheet:
        return datasheet(d, upto=4, runs=50, **named)
    return word(d, **named)
`

// TestSizeRule: all experiments read size= by one rule; what cannot be met is an error, and nothing is built at another size than was asked for.
func TestSizeRule(t *testing.T) {
	for name, script := range map[string]string{
		"a build without a size refuses one": `
for word in [sweep, survey, recovery, compare, datasheet]:
    for d in [none, colour, tail]:
        expect_error(lambda: call(word, d, size=2), "the build of %s takes no size" % d.name)
expect_error(lambda: sweep(lambda x: x, [1], size=2), "a function takes no size")
expect_error(lambda: expandable(none), "takes no size")
expect_error(lambda: expandable(colour), "takes no size")
`,
		"a build without a size is built as it is": `
for d in [none, colour, tail]:
    expect_equal(sweep(d).column("right"), [True, True])
    expect(recovery(d).ticks > 0)
    expect(survey(d, travel=[2], runs=50).holds)
    expect("size" not in compare([d], runs=50).rows[0])
`,
		"a size without default must be given": `
for word in [sweep, survey, recovery]:
    expect_error(lambda: call(word, needs), "give one with size=")
`,
		"compare and datasheet take 8 where nothing says a size": `
expect_equal(call(compare, needs).rows[0]["parts"], 16)
expect_equal(call(compare, needs).rows[0]["size"], 8)
expect_equal(call(datasheet, needs).figures["parts"], 16)
`,
		"a default is the size where none is given": `
expect_equal(call(compare, has).rows[0]["parts"], 6)
expect_equal(call(datasheet, has).figures["parts"], 6)
expect_equal(call(datasheet, has).figures["size"], 3)
for word in [sweep, recovery]:
    expect_equal(str(call(word, has)), str(call(word, has, size=3)))
expect_equal(sweep(of("has", usual, over)).column("n"), [3, 4])
`,
		"size= goes over a default": `
expect_equal(call(compare, has, size=2).rows[0]["parts"], 4)
expect_equal(call(datasheet, has, size=2).figures["parts"], 4)
expect_equal(sweep(of("has", usual, over), size=5).column("n"), [5, 6])
expect_equal(sweep(of("has", usual, over), size=5).column("right"), [True, True])
expect(recovery(of("has", usual, over), size=5).ticks > 0)
expect(expandable(has, upto=5).tested >= 3)
`,
		"unlike sizes say so, and none is best": `
r = compare([needs, has], runs=50)
expect_equal([row["size"] for row in r.rows], [8, 3])
expect_equal([k for k in r.best if r.best[k]], [])
expect("the sizes are unlike" in str(r), str(r))
s = compare([needs, none], runs=50)
expect_equal([row["size"] for row in s.rows], [8, "as built"])
expect_equal([k for k in s.best if s.best[k]], [])
expect_error(lambda: compare([needs, none], size=2), "the build of none takes no size")
u = compare([needs, has], runs=50, size=4)
expect_equal([row["size"] for row in u.rows], [4, 4])
expect("no * anywhere: where all were measured alike, they do not differ" in str(u), str(u))
`,
	} {
		t.Run(name, func(t *testing.T) {
			if msg := stage.New().Do(sizedRows + script); msg != "" {
				t.Error(msg)
			}
		})
	}
}
