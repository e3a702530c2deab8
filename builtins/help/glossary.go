package help

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"slices"
	"strings"
)

// term is a word that pulsewright uses in a sense of its own. Each is explained once, here; help, its completion and its
// suggestions read this table. What a placing word or another word of the language says of itself is in its entry.
type term struct {
	word string
	also []string // other forms that mean the same
	text string
}

// glossary is sorted by what belongs together: time, space, news and power, parts, stimuli, the bench, designs, language.
var glossary = []term{
	{"tick", []string{"ticks"}, "One beat of the clock. Everything that happens inside it takes no clock time; its order is counted in steps and turns."},
	{"step", []string{"steps"}, "A position in the order of things inside one tick. What is caused in step s happens in step s + 1."},
	{"turn", []string{"turns"}, "A position inside a step: the acts of one step are done one by one, and each is a turn. (To lay a frame another way is called its orientation.)"},
	{"instant", nil, "A moment: tick, step and turn, written 4.2.0. now() gives the last one."},
	{"medium", nil, "The rules by which parts, power and news work here. The command \"pulsewright guide medium\" shows them all."},
	{"cell", []string{"cells"}, "One place of the lattice, (x, y) or (x, y, z) with z up. It holds one part at most."},
	{"directions", []string{"direction", "facing"}, "The six ways to a neighbour: \"+x\" \"-x\" \"+y\" \"-y\" \"+z\" \"-z\"; z is up. A part's facing is the one its front points to."},
	{"neighbour", []string{"neighbours", "neighbour order", "order"}, "One of the six cells that touch a cell. They hear in the neighbour order, which is the rule order: +x -x +y -y +z -z unless set otherwise."},
	{"front", nil, "The cell next to a part in the direction it faces."},
	{"back", nil, "The cell next to a part on the side opposite to its front."},
	{"seat", []string{"seats", "home", "out"}, "One of the two cells in front of a shuttle between which its slug moves: home is the near one, out the far one. (A link has no slug, and is home or out as well.)"},
	{"pad", []string{"pads"}, "A cell that a part reads to see whether it is fed. Which cells these are depends on the kind; help(\"link\") and the like list them."},
	{"far pad", []string{"far"}, "A pad two cells away, which only a " + builtins.KindsThat(func(t engine.Trait) bool { return t.Far != engine.NoFar }, " and ") + " have. The part reads the power there but hears no news from there, and that is how it gets armed."},
	{"told", []string{"tell", "tells"}, "A part is told when a neighbour or a cord of it changes or it is nudged; a shuttle also when its slug lands, a chute or meter when tokens it goes by change. Only when told does it look at its power."},
	{"news", nil, "Word of a change: it tells the neighbours of the cell to look. Power decides what they then find. (The rule news says whose news is heard first.)"},
	{"hears", []string{"hear"}, "A part hears when news reaches it. " + deaf() + " hear nothing."},
	{"power", []string{"powered"}, "What decides the state a part should have: whether one of its pads is live (of a gate, what it makes of all of them). The part acts on it only when it is told."},
	{"armed", nil, "Power calls for another state than the part has, but nothing has told it yet. The next news, from whatever cause, sets it off."},
	{"act", []string{"acts"}, "A change that a part has queued on being told; it is done one step later, if the part still wants it then."},
	{"untold", nil, "An armed part is untold as long as no news that would set it off has reached it."},
	{"lapse", []string{"lapses", "lapsed"}, "An act comes to nothing because, when its turn came, power no longer called for it."},
	{"blocked", nil, "A shuttle wanted to move its slug, but the seat it needed was taken; the act comes to nothing."},
	{"quiet", nil, "Nothing is left to do: no act is queued and no timer is set. run() stops there."},
	{"feed", []string{"feeds", "fed"}, "What gives power: a battery, a pressed key, a tray with a token and a forced cell to all six neighbours, other parts to their front. What it reaches is fed. The slug of that name is a battery where it sits."},
	{"conductor", []string{"conductors"}, "A wire, an unopened jack or a seated bridge: it carries power on, its level one less for each cell."},
	{"level", []string{"levels"}, "The strength of a conductor: reach beside a feed; at 0 it is dead."},
	{"live", []string{"dead"}, "A conductor is live while its level is above 0; a pad is live while something feeds it. The opposite is dead."},
	{"reach", nil, "The rule that says how far a feed carries along wire, in cells: 24 unless set otherwise."},
	{"run", nil, "The rule that says how far along its line a fed reed holds other reeds, in cells: 6 unless set otherwise. (The word of that name lets time pass.)"},
	{"hold", nil, "How many ticks a key stays pressed before it goes off by itself; without it, until it is released. (A gate with op=\"hold\" goes on when all its pads are live, off when none is, and else stays.)"},
	{"reads", nil, "The rule that says what a part sees when its act comes: with \"turn\" what earlier turns of its step did; with \"step\" how all stood before the first of them."},
	{"fall", nil, "How a fired pulse ends: early, before the first turn of its step, or late, after the last. A survey tries both."},
	{"travel", nil, "The rule that says how many ticks a slug is on its way from one seat to the other: 2 unless set otherwise."},
	{"transit", nil, "A slug that has left one seat and has not yet landed on the other is in transit."},
	{"slug", []string{"slugs", "plug", "bridge"}, "What a shuttle moves between its two seats: a plug opens the jack it sits in, a feed is a battery where it sits, a bridge conducts where it sits."},
	{"token", []string{"tokens"}, "What buckets, trays and chutes hold and hand on. A tray with a token feeds its neighbours."},
	{"holder", []string{"holders"}, "A part that holds tokens: a bucket (one) or a tray (as many as its room)."},
	{"cord", []string{"cords"}, "An invisible connection from one part to another, made by patch(): no delay, any distance. It carries power, news or both."},
	{"shelf", nil, "Where a part lies that was placed without a cell. It has no neighbours; cords alone join it to others."},
	{"pose", []string{"posed"}, "To give a part a state as it is placed, such as on=True, without telling its neighbours."},
	{"stimulus", []string{"stimuli"}, "What you do to the bench: press, release, fire, nudge. A chain of causes, followed back, ends in one, unless it began with what was posed or filled, or with what is not recorded."},
	{"forced", []string{"force"}, "A cell is forced while a stimulus makes it live, whatever is in it: fire does that."},
	{"edge", []string{"edges"}, "The moment at which something goes on (the rising edge) or off (the falling edge)."},
	{"pulse", []string{"pulses"}, "On for a while and off again: a rising and a falling edge."},
	{"width", nil, "How long a pulse lasts: the step of its falling edge less the step of its rising edge, if both are in one tick; else ticks and steps."},
	{"event", nil, "One line of the log: when, which part, what it did, and because of which earlier event."},
	{"bench", nil, "Where the parts of an experiment stand, with the time on it and its log. fresh() takes an empty one."},
	{"rig", []string{"rigs"}, "What build(frame) of a design has placed and returns; send and read are given it."},
	{"port", []string{"ports"}, "A part or cell by which a machine is joined to others, such as its input and its output."},
	{"design", nil, "A machine that can be tried: build places it, send sends a number into it, read says which number came out. (A function that only places parts is a machine.)"},
	{"slice", []string{"slices"}, "One of the equal pieces of which a machine of any size is made."},
	{"pitch", nil, "The offset from one slice of a machine to the next, as a cell."},
	{"orientation", []string{"orientations", "rotation", "mirror"}, "One of the 48 ways to lay a frame on the lattice: 24 rotations, and the mirror image of each."},
	{"sending", []string{"sendings"}, "One call of a design's send: a number on its way, alone or soon after another."},
	{"answer", []string{"answered"}, "A sending is answered if what it caused says its number, and not what an earlier one left behind."},
	{"rest", nil, "A machine is at rest when all is quiet and stands as it stood before anything was sent."},
	{"rule", nil, "What may differ from world to world: order, news, reads, travel, reach and run. rules() shows and sets them."},
	{"gap", []string{"gaps"}, "How many ticks after one sending the next begins. recovery() looks for the smallest that is long enough."},
	{"course", []string{"courses"}, "Several sendings, one after another."},
	{"residue", nil, "What is not as it was built when all is quiet again after a number: recovery() lists it."},
	{"latency", nil, "How long after its start a number is read rightly, from then on."},
	{"transmission", nil, "One number sent through a design and read at its end."},
	{"case", []string{"cases"}, "One of the ways in which a survey tries a design: in one orientation, under one neighbour order and the rules of one row."},
	{"counterexample", []string{"counterexamples"}, "The least case of a survey in which a number is read wrongly; where it can, survey() writes it as a script that shows it alone."},
	{"verdict", []string{"verdicts"}, "What an experiment says in the end: whether a design holds, and for what that was shown."},
	{"seed", []string{"seeds"}, "A number from which all that is drawn by lot follows: the same seed draws the same again."},
	{"unsure", nil, "Of a number that was sent: it is read as it would be had it not been sent, so nothing tells whether it arrived."},
	{"stopped", nil, "A case of a survey that was not quiet within its limits, ticks= and turns=: neither right nor wrong. A command that Ctrl-C ended is stopped, too."},
	{"trial", []string{"trials"}, "One run of an experiment, on a bench of its own."},
	{"spare", nil, "Of a part, pad, cord or pose of a machine: left out, it is not missed; the machine reads every number as before. spare() finds what is."},
	{"fault", []string{"faults"}, "One part of a machine broken in one way: taken away, stuck, facing another way, or a tick slower. harden() tries all of them."},
	{"symptom", []string{"symptoms"}, "What a fault shows where the machine is read: which sending is read wrongly first, and as what."},
	{"arrangement", []string{"arrangements"}, "What stands in each cell of a box: some kinds of part, facing some way, and nothing in the others. search() goes through all of them."},
	{"portion", []string{"portions", "gather"}, "One part of a survey that is cut up to be run on several machines. The command \"pulsewright guide portions\" shows the rest."},
	{"data sheet", []string{"data sheets"}, "A page about one design with figures that were all computed as it was made; datasheet() makes it."},
	{"panel", nil, "A row of keys that turns the number of the key into the width of a pulse. load(\"lib/panels.star\", ...) has some."},
	{"line", nil, "What carries a pulse from panel to receiver: wire, with a repeater now and then."},
	{"repeater", []string{"repeaters"}, "A machine that takes up a pulse and hands it on fresh and equally wide. load(\"lib/repeaters.star\", ...) has some."},
	{"station", []string{"stations"}, "A repeater at its place in a line."},
	{"receiver", []string{"receivers", "board"}, "A machine that turns the width of a pulse back into a position, one lamp of many. load(\"lib/receivers.star\", ...) has some."},
	{"lib", []string{"library"}, "The machines that come with pulsewright, such as load(\"lib/repeaters.star\", \"pull_repeater\"), and kinds of part that are not built in: load(\"lib/kinds.star\", \"divider\"). The command \"pulsewright scripts\" lists them."},
	{"guide", []string{"manual", "pages"}, "The pages that explain pulsewright. The command \"pulsewright guide\" lists them; \"pulsewright guide medium\" shows the one on the rules."},
	{"load", nil, "load(\"lib/repeaters.star\", \"chain\") takes names from the library, load(\"./mine.star\", \"name\") from a file beside the script, load(\"own/mine.star\", \"name\") from a folder of your own (--library DIR)."},
	{"struct", nil, "struct(a=1, b=2) makes a value with fields: its .a is 1. A build function often returns one."},
	{"print", nil, "print(x, y) writes values, with a blank between them, and begins a new line."},
	{"fail", nil, "fail(\"why\") ends the script with an error."},
}

// deaf are the kinds that hear nothing, in plural, as a sentence begins with them.
func deaf() string {
	var kinds []string
	for _, k := range engine.Kinds() {
		if k.Trait().Hears == engine.HearsNot {
			kinds = append(kinds, say.Plural(k.String()))
		}
	}
	s := builtins.List(kinds, len(kinds), " and ")
	return strings.ToUpper(s[:1]) + s[1:]
}

// lookupTerm finds a term by any of its forms.
func lookupTerm(word string) (term, bool) {
	for _, t := range glossary {
		if t.word == word || slices.Contains(t.also, word) {
			return t, true
		}
	}
	return term{}, false
}

// Terms gives the terms of the glossary and their explanations, in its order.
func Terms() (words, texts []string) {
	for _, t := range glossary {
		words, texts = append(words, t.word), append(texts, t.text)
	}
	return words, texts
}

// termNames are all forms of all terms, for suggestions.
func termNames() (names []string) {
	for _, t := range glossary {
		names = append(append(names, t.word), t.also...)
	}
	return names
}

// termHelp is what help says of a term.
func termHelp(e *builtins.Env, t term) string {
	s := e.Paint.Apply(say.Word, t.word) + "\n" + e.Wrap(t.text, "")
	if len(t.also) > 0 {
		s += "\n" + e.Wrap("also: "+strings.Join(t.also, ", "), "")
	}
	return s
}

// glossaryHelp is all terms.
func glossaryHelp(e *builtins.Env) string {
	s := e.Paint.Apply(say.Title, builtins.GlossaryTopic)
	for _, t := range glossary {
		s += "\n" + e.Paint.Apply(say.Word, t.word) + "\n" + e.Wrap(t.text, "    ")
	}
	return s
}
