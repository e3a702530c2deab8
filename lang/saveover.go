package lang

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"go.starlark.net/syntax"

	"pulsewright/builtins"
	"pulsewright/lang/source"
)

// A saved session that writes files would stop at the first of them where it was saved: it is there, and that run did not write it. So the
// calls that write what this session wrote get over=True.

// writesOver is a script in which they have it, and the files it then writes over, sorted.
func (s *Session) writesOver(body string) (string, []string) {
	f, err := source.Dialect.Parse("", body, 0)
	if err != nil || len(s.env.Wrote) == 0 {
		return body, nil
	}
	places := source.NewPlaces(body, 1)
	var at []int // of the closing brackets
	var files []string
	syntax.Walk(f, func(n syntax.Node) bool {
		call, ok := n.(*syntax.CallExpr)
		if !ok {
			return true
		}
		if path := s.wroteBy(call); path != "" {
			at = append(at, places.Offset(call.Rparen))
			files = append(files, filepath.ToSlash(filepath.Clean(path)))
		}
		return true
	})
	slices.Sort(at)
	for _, i := range slices.Backward(at) {
		more := ", over=True"
		if strings.HasSuffix(strings.TrimRight(body[:i], " \t\n"), ",") {
			more = " over=True"
		}
		body = body[:i] + more + body[i:]
	}
	slices.Sort(files)
	return body, slices.Compact(files)
}

// wroteBy is the file that a call writes, if its path stands there, the session wrote it, and the call does not say over= itself.
func (s *Session) wroteBy(call *syntax.CallExpr) string {
	switch fn := call.Fn.(type) {
	case *syntax.Ident:
		if e, ok := builtins.Lookup(fn.Name); !ok || s.names.own[fn.Name] || !slices.ContainsFunc(e.Params, func(p builtins.Param) bool { return p.Name == builtins.OverParam.Name }) {
			return ""
		}
	case *syntax.DotExpr:
		if fn.Name.Name != "save" && fn.Name.Name != "plot" {
			return ""
		}
	default:
		return ""
	}
	found := ""
	for _, arg := range call.Args {
		switch x := arg.(type) {
		case *syntax.UnaryExpr: // *args, **kwargs: who knows what they hold
			if x.Op == syntax.STAR || x.Op == syntax.STARSTAR {
				return ""
			}
		case *syntax.BinaryExpr:
			name, ok := x.X.(*syntax.Ident)
			if x.Op == syntax.EQ && ok && name.Name == builtins.OverParam.Name {
				return ""
			}
			if x.Op == syntax.EQ && ok && name.Name == "path" {
				found = s.wrotePath(x.Y)
			}
		case *syntax.Literal:
			if path := s.wrotePath(x); path != "" && found == "" {
				found = path
			}
		}
	}
	return found
}

// wrotePath is the path that a literal is, if the session wrote that file.
func (s *Session) wrotePath(x syntax.Expr) string {
	lit, ok := x.(*syntax.Literal)
	if !ok || lit.Token != syntax.STRING {
		return ""
	}
	path, _ := lit.Value.(string)
	if _, ours := s.env.Wrote[filepath.Clean(path)]; path == "" || !ours {
		return ""
	}
	return path
}

// andMore names the files that running a saved script writes over.
func andMore(files []string) string {
	var shown []string
	for i, f := range files {
		if i == 3 {
			shown = append(shown, "and "+strconv.Itoa(len(files)-i)+" more")
			break
		}
		shown = append(shown, f)
	}
	return strings.Join(shown, ", ")
}
