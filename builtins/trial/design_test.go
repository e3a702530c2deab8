package trial

import (
	"pulsewright/builtins/stage"
	"testing"
)

// TestDesignFunctions holds to what help("design") says the three functions may do.
func TestDesignFunctions(t *testing.T) {
	const line = `
def build(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last), notes=[])
def send(rig, n):
    fire(rig.input, n)
def read(rig):
    return rig.out.width
def of(build=build, send=send, read=read):
    return design("d", build, send, read, [2, 3])
`
	for name, script := range map[string]string{
		"send cannot note its start in the rig": `
def noting(rig, n):
    rig.notes.append(now())
    fire(rig.input, n)
expect_error(lambda: sweep(of(send=noting)), "frozen")
`,
		"events and probes know the start": `
def looking(rig):
    return rig.out.width if [e.tick for e in events(what="forced")] == [1] and rig.out.pulses[0].rise.tick == 1 else None
expect_equal(sweep(of(read=looking)).column("right"), [True, True])
`,
		"what else they hold is frozen": `
kept = []
def noting(rig, n):
    kept.append(n)
    fire(rig.input, n)
expect_error(lambda: sweep(of(send=noting)), "frozen")
def holder():
    mine = []
    def send(rig, n):
        mine.append(n)
        fire(rig.input, n)
    return send
expect_error(lambda: sweep(of(send=holder())), "frozen")
`,
		"a list that build's functions share begins anew in each trial": `
def counting(f):
    line = f.wire((0, 0), (9, 0))
    sent = []
    return struct(input=line.first, out=probe(line.last), note=lambda n: sent.append(n), sent=lambda: len(sent))
def noting(rig, n):
    rig.note(n)
    fire(rig.input, n)
def reading(rig):
    return rig.out.width if rig.sent() == 1 else None
expect_equal(sweep(of(counting, noting, reading)).column("right"), [True, True])
`,
		"build places on the bench it finds": `
def elsewhere(f):
    fresh()
    return build(f)
expect_error(lambda: sweep(of(elsewhere)), "must place its parts on the one it finds")
`,
	} {
		t.Run(name, func(t *testing.T) {
			if msg := stage.New().Do(line + script); msg != "" {
				t.Error(msg)
			}
		})
	}
}
