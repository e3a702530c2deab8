package play

import (
	"fmt"
	"math"
	"strings"

	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// storyRows are the lines of a screen that the story has at least.
const storyRows = 7

// Screen is the picture after a turn, and below it the story up to there: what happened last at the bottom, after a mark.
func (f *film) Screen(n, columns, rows int) ([]string, error) {
	room := rows - storyRows - 1
	var board string
	var legend []string
	if f.scope != nil {
		board = f.scope.Board(f.frames[n].at, columns, room)
	} else {
		m, err := f.picture(n)
		if err != nil {
			return nil, err
		}
		board = m.Board(columns, room, &f.view, f.frames[n].focus)
		free := room - strings.Count(board, "\n") - 2
		legend = m.Explained(columns, free)
		f.below = max(len(legend), min(f.below, free))
		for len(legend) < f.below { // what stands below does not jump from turn to turn
			legend = append(legend, "")
		}
	}
	lines := strings.Split(board, "\n")
	if len(lines) > room {
		lines = lines[:room]
	}
	if len(legend) > 0 {
		lines = append(append(lines, ""), legend...)
	}
	return append(append(lines, ""), f.told(n, columns, rows-len(lines)-1)...), nil
}

// told is the story up to a turn, in so many lines.
func (f *film) told(n, columns, rows int) []string {
	var lines []string
	for k := n; k > 0 && len(lines) < rows; k-- {
		turn := f.sentences(k, columns, k == n)
		if k == n && len(turn) > rows {
			turn = append(turn[:rows-1], fmt.Sprintf("%22s%s more", "", say.Count(len(turn)-rows+1, "line")))
		}
		lines = append(turn, lines...)
	}
	return lines[max(len(lines)-rows, 0):]
}

// sentences are the lines of a turn; of the present one they have a mark, the instant stands out, and the others are fainter.
func (f *film) sentences(k, columns int, now bool) (lines []string) {
	e := f.env
	at := f.frames[k].at
	mark, style := " ", say.Dim
	if now {
		mark, style = string(e.Glyph(say.GTick)), say.Word
	}
	for i, s := range f.frames[k].story {
		head := fmt.Sprintf("%s %6d %4d %4d  ", mark, at.Tick, at.Step, at.Turn)
		if i > 0 {
			head = strings.Repeat(" ", say.Columns(head))
		}
		pad := strings.Repeat(" ", say.Columns(head))
		for j, line := range strings.Split(say.Fill(s, pad, pad, max(columns-1, len(pad)+20)), "\n") {
			text := strings.TrimPrefix(line, pad)
			if i < f.frames[k].marks {
				text = e.Paint.Apply(say.Title, text)
			}
			if j > 0 {
				head = pad
			}
			lines = append(lines, e.Paint.Apply(style, head)+text)
		}
	}
	return lines
}

// print writes the film where nobody can steer it: the pictures at both ends and the story between them.
func (f *film) print() error {
	e := f.env
	n := len(f.frames) - 1
	show := func(k int) error {
		m, err := f.picture(k)
		switch {
		case err != nil:
		case k == 0:
			e.Print(m.Text())
		default: // names and legend stand above
			e.Print(m.Board(e.Columns(), math.MaxInt, &picture.View{}, engine.Cell{}))
		}
		return err
	}
	if f.scope == nil {
		if err := show(0); err != nil {
			return err
		}
		e.Print("")
	}
	e.Print(e.Paint.Apply(say.Title, fmt.Sprintf("%8s %4s %4s", "tick", "step", "turn")))
	for k := 1; k <= n; k++ {
		fresh := k == 1 || f.frames[k].at.Tick != f.frames[k-1].at.Tick
		for _, line := range f.sentences(k, e.Columns(), fresh) {
			e.Print(line)
		}
	}
	e.Print("")
	if f.scope != nil {
		e.Print(f.scope.Text(e.Columns()))
		return nil
	}
	return show(n)
}
