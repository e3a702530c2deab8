package survey

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// The end of a counterexample's script: where the case that fails parts from the nearest that reads right.

// partsCall is the call that shows it.
const partsCall = "differ(failing, holding"

// parts writes the end of the script. "" if there is no such case, or nothing to compare it with: another machine, or a run that ends in an error.
func (f *Finding) parts(bad trial.Setting, good *surveyResult) string {
	p, r := f.Plan, f.worst
	if good == nil || p.row(good.Unit).Slices != p.row(r.Unit).Slices || r.ShortKind == unbuilt || r.ShortKind == failing {
		return ""
	}
	holds := p.setting(good.Unit)
	var b strings.Builder
	b.WriteString("\n# Where it parts from the nearest case that reads right:\n")
	f.writeRun(&b, "failing", bad)
	b.WriteString("\n")
	f.writeRun(&b, "holding", holds)
	fmt.Fprintf(&b, "    expect(got == %s, \"the nearest case does not read right\")\n", p.Numbers[r.Short[len(r.Short)-1]])
	f.call = partsCall
	if bad.At != holds.At || bad.X != holds.X || bad.Y != holds.Y || bad.Mirror != holds.Mirror {
		f.call += fmt.Sprintf(", frames=(%s, %s)", frameText(bad), frameText(holds))
	}
	f.call += ")"
	return b.String() + "\n" + f.call + "\n"
}

// writeRun writes a function that sends the counterexample's numbers under a setting.
func (f *Finding) writeRun(b *strings.Builder, name string, s trial.Setting) {
	p, slices := f.Plan, f.Plan.row(f.worst.Unit).Slices
	fmt.Fprintf(b, "def %s():\n", name)
	build, send, read := f.callsOf(s)
	for _, line := range strings.Split(strings.TrimSuffix(underRules(s), "\n"), "\n") {
		fmt.Fprintf(b, "    %s\n", line)
	}
	fmt.Fprintf(b, "    rig = %s\n", build)
	if slices > 0 {
		b.WriteString("    out = probe(rig[-1].output)\n")
	}
	b.WriteString("    record()\n")
	for _, k := range f.worst.Short {
		fmt.Fprintf(b, "    "+send+"    run()\n    got = %s\n", p.Numbers[k], read)
	}
}

// callsOf are the calls with which a script builds, sends and reads under a setting.
func (f *Finding) callsOf(s trial.Setting) (build, send, read string) {
	p, slices := f.Plan, f.Plan.row(f.worst.Unit).Slices
	frame := strings.TrimSuffix(frameText(s), ")")
	switch {
	case slices > 0:
		build = fmt.Sprintf("[slice(%s).frame(at=(%d * n, %d * n, %d * n), name=\"s%%d\" %% (n + 1))) for n in range(%d)]", frame, p.Pitch.X, p.Pitch.Y, p.Pitch.Z, slices)
		return build, "fire(rig[0].input, %s)\n", "out.width"
	case p.Size > 0:
		build = fmt.Sprintf("build(%s), %d)", frame, p.Size)
	default:
		build = "build(" + frame + "))"
	}
	return build, "send(rig, %s)\n", "read(rig)"
}

func frameText(s trial.Setting) string {
	return "frame(" + lies(s) + ")"
}

// lies is how a machine lies, as a script says it of its frame.
func lies(s trial.Setting) string {
	at := ""
	if s.At != (engine.Cell{}) {
		at = fmt.Sprintf("at=%v, ", s.At)
	}
	return fmt.Sprintf("%sx=%q, y=%q, mirror=%s", at, s.X, s.Y, starlark.Bool(s.Mirror).String())
}

// underRules are the lines that put a script under a setting.
func underRules(s trial.Setting) string {
	r := s.Rules
	return fmt.Sprintf("fresh(order=%q, news=%q, reads=%q, travel=%d, reach=%d, run=%d)\nfalls(%q)\n", builtins.Rules{Rules: r}.OrderText(), builtins.NewsNames[r.News], builtins.ReadsNames[r.Reads], r.Travel, r.Reach, r.Run, s.Fall())
}
