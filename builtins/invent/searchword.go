package invent

import (
	"errors"
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func searchWords() []builtins.Entry {
	return []builtins.Entry{{Name: "search", Topic: "invention", Sentence: "Is there anything smaller at all? Goes through every arrangement of some kinds of part in a box, fewest parts first, and gives those that do a task, or shows that there is none. With tries= it draws by lot where a box is too large for that.",
		Params: []builtins.Param{
			{Name: "task", Type: "a task", Doc: "what to do, as task() gives it. It must be done however the box is laid on itself with its ports and fixed parts: no machine counts that works in one neighbour order and not in its mirror image"},
			{Name: "box", Type: "a pair of cells", Doc: fmt.Sprintf("its corners; at most %d cells, with tries %d. Parts stay in it, and so do their slugs, at both seats, but for jacks that are fixed. The cell into which pulses are fired may lie outside it, or hold a fixed part", mostCells, mostTried)},
			{Name: "kinds", Type: "a list of kinds", Doc: "what may stand in a cell: \"link\", dict(kind=\"gate\", op=\"not\", on=True), or what kind() gave; it may face all six ways unless a facing is given"},
			{Name: "fixed", Type: "function", Default: "None", Optional: true, Keyword: true, Doc: "fixed(frame): places parts that are there in any case"},
			{Name: "forbidden", Type: "a list of cells", Default: "[]", Optional: true, Keyword: true, Doc: "cells of the box that must stay empty, of slugs as well"},
			{Name: "most", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: "how many parts beside the fixed ones at most; None: as many as the box has cells"},
			{Name: "front", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: goes on to most, whatever is found, for what has more parts and less of something else"},
			{Name: "tries", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: fmt.Sprintf("by lot, so many times, from up to %d candidates each: a try changes one cell after the other and keeps what is no worse, at first also what is a little worse, and every second one grows from the best of earlier tries; they are not cut into portions; None: everything is gone through", lots)},
			{Name: "seed", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: "of the lots of tries; None: that of the session"},
			{Name: "resume", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "a file, such as \"quay.jsonl\", that takes down what is done; if it is there, the search goes on from it"}},
		Returns: "a report with .found (how many arrangements of the least number of parts do it; of turned and mirrored ones, and of those that nothing can tell apart, one counts; with front, of all numbers; with tries, how many tries found one), .parts (that number, None if there are none), .machines (the first 100 of them, each a list of texts), .front (those that no other betters in everything: each with .measures, .sketch, .script and, if the task has an out, what a design has, so that compare reads them), .best (the first of these by parts, then volume; None), .arrangements (how many there are with up to so many parts), .run (how many were run), .given_up (how many of these took so many turns that they were given up: it is open whether they do it) and .ruled_out (how many were not, a dict by reason), .whole (of all of these it is known whether they do it: no tries, not stopped, none given up), .sketch and .script (of the first machine; \"\" if there is none)",
		Example: "delay = task((0, 0), (1, 0), [2, 3, 7], later=1)\nr = search(delay, ((1, 0), (1, 0)), [dict(kind=\"gate\", op=\"buf\"), \"wire\"])\nexpect_equal((r.found, r.parts), (1, 1))\nprint(r)\nprint(compare(r.front))",
		See:     []string{"task", "shrink", "kept", "compare"}, Call: search}}
}

// How many cells a box may have: one that is gone through, one that is tried by lot.
const (
	mostCells = 64
	mostTried = 512
)

func search(c *builtins.Call) (starlark.Value, error) {
	p := planOf(c)
	name := c.Str("resume")
	if name != "" {
		c.MayWrite(name, builtins.Over{Allowed: true})
	}
	if c.Err != nil {
		return nil, c.Err
	}
	s := &searching{searchPlan: p, boxes: p.boxes(), workers: c.Env.AtOnce(), tell: c.Env.Tell}
	sh := c.Env.Portion
	switch {
	case name == "" && sh.Count == 0:
	case sh.Count > 0 && p.Tries > 0:
		return nil, c.Fail("tries grow from those before them and cannot be cut into portions; leave out --portion, or tries=")
	case c.Env.Dir == nil:
		return nil, c.Fail("there is no folder to write to here")
	default:
		if sh.Count > 0 {
			name, s.portion = p.portionName(sh), sh
		} else {
			sh = builtins.Portion{Index: 1, Count: 1}
		}
		f, err := s.inFile(c.Env.Dir, name, sh)
		if err != nil {
			return nil, c.Fail("%w", err)
		}
		defer f.Close()
	}
	err := s.run(c.Env.Context())
	if many := (uncounted{}); errors.As(err, &many) {
		return nil, c.Fail("%w", many)
	} else if err != nil {
		return nil, c.Fail("%q: %s", name, builtins.FileTrouble(err))
	}
	if s.portion.Count > 0 && !s.stopped {
		text := fmt.Sprintf("search, portion %d of %d: up to %d parts done; it is in %s\ngather all portions: pulsewright gather %s", sh.Index, sh.Count, s.last, name, strings.Replace(name, fmt.Sprintf(".%dof", sh.Index), ".*of", 1))
		return &builtins.Report{Name: "portion", Text: text, Lacks: "what the whole search finds is known when all portions are gathered; ask hasattr(r, %q) first, and a script goes on", Fields: starlark.StringDict{"path": starlark.String(name), "done": starlark.MakeInt(s.done), "holds": starlark.None}}, nil
	}
	r, err := s.report(c.Env, c)
	if err != nil {
		return nil, c.Wrap(err)
	}
	c.Env.Kept = r
	if s.stopped {
		c.Env.Print(r.Text)
		if name != "" {
			c.Env.Print(fmt.Sprintf("search: stopped; %s has what was done, and the same search goes on from it; kept() gives this report", name))
		} else {
			c.Env.Print("search: stopped; kept() gives this report; with resume= a search can be gone on with")
		}
		return nil, c.Wrap(&engine.Stopped{At: c.Env.Bench.Now(), Err: c.Env.Context().Err()})
	}
	return r, nil
}

// planOf reads what is to be searched.
func planOf(c *builtins.Call) *searchPlan {
	t, ok := c.Value("task").(*task)
	if !ok {
		c.Bad("task", builtins.Show(c.Value("task")), "a task, as task() gives it")
		return nil
	}
	if c.Env.Rules().Mixed {
		c.Fail("neighbour orders are mixed, so that every cell has one of its own; want rules with one order")
	}
	p := &searchPlan{Format: searchFormat, Rules: c.Env.Rules(), All: c.Bool("front", false), Tries: c.Small("tries", 0, 1), Seed: c.Int("seed", c.Env.Seed, 0)}
	if c.Has("seed") && p.Tries == 0 {
		c.Fail("without tries= nothing is drawn, so that seed means nothing; give tries=, or leave it out")
	}
	if p.Tries == 0 {
		p.Seed = 0
	}
	p.Task = planTask{t.intos, t.outs, t.numbers, t.wants, t.later, t.inverted, t.late}
	most := int64(mostCells)
	if p.Tries > 0 && !t.tells {
		most = mostTried
	}
	p.Lo, p.Hi = boxArg(c, "box", most)
	for _, q := range optionsArg(c, "kinds") {
		o, err := p.take(q)
		if err != nil {
			c.Fail("for parameter kinds: %w", err)
			return nil
		}
		p.Options = append(p.Options, o)
	}
	p.Forbidden = cellsArg(c, "forbidden")
	if c.Err == nil && len(p.Options) == 0 {
		c.Bad("kinds", "no kinds", "at least one")
	}
	if c.Err == nil && len(p.Options) > mostOptions {
		c.Bad("kinds", fmt.Sprintf("%d ways to fill a cell", len(p.Options)), fmt.Sprintf("at most %d: fewer kinds, or facings given", mostOptions))
	}
	if c.Has("fixed") && c.Err == nil {
		for _, q := range fixedArg(c, "fixed") {
			f, err := p.take(q.Part)
			if err != nil {
				c.Fail("for parameter fixed: %w", err)
				return nil
			}
			p.Fixed = append(p.Fixed, planPiece{q.cell, f})
		}
	}
	if p.Most = c.Small("most", mostTried, 0); c.Err != nil {
		return nil
	}
	if p.within(c); c.Err != nil {
		return nil
	}
	cells := 0
	for _, b := range p.boxes() {
		cells = max(cells, len(b.cells))
	}
	if p.Most = min(p.Most, cells); p.Tries > 0 && cells == 0 {
		c.Bad("box", "no cell that may be filled", "at least one, where there are tries")
	}
	p.Check = p.sum()
	return p
}

// mostOptions is in how many ways a cell may be filled.
const mostOptions = 250
