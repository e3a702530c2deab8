package picture

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"go.starlark.net/starlark"
)

func plotWords() []builtins.Entry {
	column := func(name, doc string) builtins.Param {
		return builtins.Param{Name: name, Type: "string", Default: "None", Optional: true, Keyword: true, Doc: doc}
	}
	return []builtins.Entry{{Name: "plot", Topic: "experiments", Sentence: "Draws a table: value against result, or with two variables a heat map; on the terminal, or as .svg to a file in the working folder.",
		Params: []builtins.Param{{Name: "table", Type: "a table", Doc: "such as sweep gives"},
			column("x", "head of the column that runs to the right; None: the first"),
			column("y", "head of the column that runs upwards; None: the result, or of a heat map the second column"),
			column("z", "head of the column that is shown as shade, which makes it a heat map; None: the result, if x and y are two variables"),
			column("path", "where to write it, such as \"sweep.svg\"; None: it is printed"), builtins.OverParam},
		Example: "t = sweep(lambda x: x * x, range(10))\nplot(t)\nplot(t, path=\"square.svg\")\nproducts = sweep(lambda a, b: a * b, dict(a=range(9), b=range(5)))\nproducts.plot()\nproducts.plot(x=\"b\", y=\"a\", z=\"result\", path=\"products.svg\")",
		See:     []string{"sweep", "table"}, Call: plot}}
}

func plot(c *builtins.Call) (starlark.Value, error) {
	t, ok := c.Value("table").(*builtins.Table)
	if !ok {
		return nil, c.Bad("table", builtins.Show(c.Value("table")), "")
	}
	return nil, drawTable(c, t, c.Str("x"), c.Str("y"), c.Str("z"), c.Str("path"), c.Over("over"))
}

func drawTable(c *builtins.Call, t *builtins.Table, x, y, z, path string, over builtins.Over) error {
	if c.Err != nil {
		return c.Err
	}
	g, err := graphOf(t, x, y, z)
	if err != nil {
		return c.Wrap(err)
	}
	if path == "" {
		c.Env.Print(g.text(c.Env))
		return nil
	}
	if strings.ToLower(filepath.Ext(path)) != ".svg" {
		return c.Fail("got path %q, want one that ends in .svg", path)
	}
	picture := g.svg()
	return c.ToFile(path, over, "a plot", func(w io.Writer) error {
		_, err := io.WriteString(w, picture)
		return err
	})
}

// leftOut says which rows are not in the picture, in lines.
func (g *graph) leftOut() (lines []string) {
	if g.lost > 0 {
		lines = append(lines, say.Count(g.lost, "row")+" without numbers left out")
	}
	if g.hidden > 0 {
		lines = append(lines, say.Count(g.hidden, "field")+" with several rows: the last of them is shown")
	}
	return lines
}

func (g *graph) title() string {
	if g.heat {
		return say.OneLine(g.heads[2] + " over " + g.heads[0] + " and " + g.heads[1])
	}
	return say.OneLine(g.heads[1] + " over " + g.heads[0])
}

// span is the range of one of the coordinates, never empty.
func (g *graph) span(k int) (lo, hi float64) {
	lo, hi = g.pts[0][k], g.pts[0][k]
	for _, p := range g.pts {
		lo, hi = min(lo, p[k]), max(hi, p[k])
	}
	if lo == hi {
		hi = lo + 1
	}
	return lo, hi
}

// label writes whole numbers out, so that two of them never look alike.
func label(f float64) string {
	if f == math.Trunc(f) && math.Abs(f) < 1e15 {
		return strconv.FormatInt(int64(f), 10)
	}
	return strconv.FormatFloat(f, 'g', 6, 64)
}

// text draws with characters.
func (g *graph) text(e *builtins.Env) string {
	var s strings.Builder
	s.WriteString(e.Label(g.title(), e.Columns()) + "\n")
	if g.heat {
		g.heatText(&s, e)
	} else {
		g.pointText(&s, e)
	}
	for _, l := range g.leftOut() {
		s.WriteString(l + "\n")
	}
	return strings.TrimSuffix(s.String(), "\n")
}

const plotRows = 16

func (g *graph) pointText(s *strings.Builder, e *builtins.Env) {
	mark, side, foot, corner := string(e.Glyph(say.GPoint)), string(e.Glyph(say.GSide)), string(e.Glyph(say.GFoot)), string(e.Glyph(say.GCorner))
	x0, x1 := g.span(0)
	y0, y1 := g.span(1)
	wide := max(len(label(y0)), len(label(y1)))
	cols := max(min(e.Columns()-wide-3, 72), 8)
	rows := plotRows
	if n := len(g.ys); n < rows && allWhole(g.ys) && y1-y0 < plotRows {
		rows = max(int(y1-y0)+1, 2)
	}
	grid := make([][]bool, rows)
	for i := range grid {
		grid[i] = make([]bool, cols)
	}
	for _, p := range g.pts {
		grid[int(math.Round((p[1]-y0)/(y1-y0)*float64(rows-1)))][int(math.Round((p[0]-x0)/(x1-x0)*float64(cols-1)))] = true
	}
	for r := rows - 1; r >= 0; r-- {
		l := ""
		switch r {
		case rows - 1:
			l = label(y1)
		case 0:
			l = label(y0)
		}
		line := say.Align(l, wide, "right", " ") + " " + side
		for _, on := range grid[r] {
			if on {
				line += mark
			} else {
				line += " "
			}
		}
		s.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	s.WriteString(strings.Repeat(" ", wide+1) + corner + strings.Repeat(foot, cols) + "\n")
	a, b := label(x0), label(x1)
	s.WriteString(strings.Repeat(" ", wide+2) + a + strings.Repeat(" ", max(cols-len(a)-len(b), 1)) + b + "\n")
}

func allWhole(fs []float64) bool {
	return !slices.ContainsFunc(fs, func(f float64) bool { return f != math.Trunc(f) })
}

func shade(z, z0, z1 float64, n int) int {
	return min(int((z-z0)/(z1-z0)*float64(n)), n-1)
}

func (g *graph) heatText(s *strings.Builder, e *builtins.Env) {
	var marks []string // blank is for what was not measured
	for g := say.GShade1; g <= say.GShade5; g++ {
		marks = append(marks, string(e.Glyph(g)))
	}
	z0, z1 := g.span(2)
	wide := 0
	for _, y := range g.ys {
		wide = max(wide, len(label(y)))
	}
	each := 2 // columns a field
	if len(g.xs)*each > e.Columns()-wide-2 {
		each = 1
	}
	at := map[[2]float64]float64{}
	for _, p := range g.pts {
		at[[2]float64{p[0], p[1]}] = p[2]
	}
	for _, y := range slices.Backward(g.ys) {
		line := say.Align(label(y), wide, "right", " ") + "  "
		for _, x := range g.xs {
			m := " "
			if z, ok := at[[2]float64{x, y}]; ok {
				m = marks[shade(z, z0, z1, len(marks))]
			}
			line += strings.Repeat(m, each)
		}
		s.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	a, b := label(g.xs[0]), label(g.xs[len(g.xs)-1])
	s.WriteString(strings.Repeat(" ", wide+2) + a + strings.Repeat(" ", max(len(g.xs)*each-len(a)-len(b), 1)) + b + "\n")
	s.WriteString("shades: " + strings.Join(marks, " ") + " from " + label(z0) + " to " + label(z1) + "\n")
}

// svg draws a picture.
func (g *graph) svg() string {
	const left, top, w, h = 70.0, 40.0, 560.0, 320.0
	says := append([]string{fmt.Sprintf("%s; %s to the right, %s upwards", say.Count(len(g.pts), "point"), g.heads[0], g.heads[1])}, g.leftOut()...)
	s := NewSVG(left+w+30, top+h+60, g.title(), strings.Join(says, "; "))
	s.Text("title", left, 22, g.title())
	x0, x1 := g.span(0)
	y0, y1 := g.span(1)
	s.Text("mid", left+w/2, top+h+42, g.heads[0])
	s.Text("small", 8, top-6, g.heads[1])
	if !g.heat {
		for _, y := range ticks(y0, y1, allWhole(g.ys)) {
			at := top + h - (y-y0)/(y1-y0)*h
			s.Line("grid", left, at, left+w, at)
			s.Text("small end", left-8, at+4, label(y))
		}
		for _, x := range ticks(x0, x1, allWhole(g.xs)) {
			at := left + (x-x0)/(x1-x0)*w
			s.Line("grid", at, top, at, top+h)
			s.Text("small mid", at, top+h+18, label(x))
		}
		for _, p := range g.pts {
			s.circle("on", left+(p[0]-x0)/(x1-x0)*w, top+h-(p[1]-y0)/(y1-y0)*h, 3)
		}
		return s.Done()
	}
	z0, z1 := g.span(2)
	fw, fh := w/float64(len(g.xs)), h/float64(len(g.ys))
	for _, p := range g.pts {
		i, _ := slices.BinarySearch(g.xs, p[0])
		j, _ := slices.BinarySearch(g.ys, p[1])
		x, y := left+float64(i)*fw, top+h-float64(j+1)*fh
		s.group(fmt.Sprintf("%s %s, %s %s: %s %s", g.heads[0], label(p[0]), g.heads[1], label(p[1]), g.heads[2], label(p[2])))
		s.Rect("fold", x, y, fw, fh, 0)
		s.WriteString(`<rect class="on" fill-opacity="` + px((p[2]-z0)/(z1-z0)) + `" stroke-opacity="0" x="` + px(x) + `" y="` + px(y) + `" width="` + px(fw) + `" height="` + px(fh) + `"/>` + "\n")
		if fw >= 7*float64(len(label(p[2]))) && fh >= 14 {
			class := "small mid"
			if (p[2]-z0)/(z1-z0) > .5 {
				class = "small mid onink"
			}
			s.Text(class, x+fw/2, y+fh/2+4, label(p[2]))
		}
		s.end()
	}
	for i, x := range g.xs {
		if i%(len(g.xs)/12+1) == 0 {
			s.Text("small mid", left+(float64(i)+.5)*fw, top+h+18, label(x))
		}
	}
	for j, y := range g.ys {
		if j%(len(g.ys)/12+1) == 0 {
			s.Text("small end", left-8, top+h-(float64(j)+.5)*fh+4, label(y))
		}
	}
	s.Text("small end", left+w, 22, "light: "+label(z0)+", dark: "+label(z1))
	return s.Done()
}
