package lang

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// statement draws a statement over a few names, all of which have values: n m are numbers, xs ys lists, d a dict,
// f g functions of one number.
func statement(t *rapid.T) string {
	number := func() string {
		return rapid.SampledFrom([]string{"n", "m", "1", "2", "n + m", "f(n)", "g(m)", "len(xs)", "xs[0]", "d['k']", "f(g(1))", "max(n, m)", "sorted(xs, key=lambda x: -x * n)[0]"}).Draw(t, "number")
	}
	list := func() string {
		return rapid.SampledFrom([]string{"xs", "ys", "[n, m]", "xs[:3]", "[f(i) for i in range(3)]", "[g(x) for x in ys]", "sorted(xs[:4], key=lambda x: f(x) % 7)"}).Draw(t, "list")
	}
	name := rapid.SampledFrom([]string{"n", "m"}).Draw(t, "name")
	fn := rapid.SampledFrom([]string{"f", "g"}).Draw(t, "function")
	l := rapid.SampledFrom([]string{"xs", "ys"}).Draw(t, "list's name")
	switch rapid.IntRange(0, 15).Draw(t, "kind") {
	case 0:
		return name + " = " + number()
	case 1:
		return name + " += " + number()
	case 2:
		return name + " = (" + name + " * " + number() + ") % 1009"
	case 3:
		return l + " = " + list() + " + [" + number() + "]"
	case 4:
		return l + ".append(" + number() + ")"
	case 5:
		return l + " += [" + number() + "]"
	case 6:
		return "d['k'] = " + number()
	case 7:
		return "d['k'] += " + number()
	case 8:
		return "def " + fn + "(x): return (x * 3 + n) % 101"
	case 9:
		return "def " + fn + "(x):\n    ys.append(x)\n    return len(ys) % 10 + m\n"
	case 10:
		return fn + " = lambda x: (x + n) % 103"
	case 11:
		return "n, m = m, n"
	case 12:
		return "for i in range(3):\n    n += i\n    xs.append(n % 17)\n"
	case 13:
		return "if n > m:\n    n = m\nelse:\n    def " + fn + "(x): return x % 13 + 1\n"
	case 14:
		return "while n > 50:\n    n = n // 2\n    m += 1\n"
	default:
		return "print(n, m, xs[:5], ys[:5], d, f(1), g(2))"
	}
}

// Random conversations say what the interpreter says of the same text as a file.
func TestRandomConversations(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		chunks := []string{"n = 1; m = 2; xs = [1, 2]; ys = [3]; d = {'k': 4}", "def f(x): return x + 1", "def g(x): return f(x) % 97"}
		for range rapid.IntRange(1, 25).Draw(r, "length") {
			chunks = append(chunks, statement(r))
		}
		chunks = append(chunks, "print(n, m, xs, ys, d, f(3), g(4))")
		var typed bytes.Buffer
		s := newSession(t, Config{Out: &typed})
		defer s.Close()
		want := asFile(t, strings.Join(chunks, "\n")+"\n", s.names.base)
		for _, c := range chunks {
			if s.Command(context.Background(), c+semi(c)) != nil {
				typed.WriteString("error\n")
				break
			}
		}
		if typed.String() != want {
			r.Fatalf("%s\ntyped: %s\nin a file: %s", strings.Join(chunks, "\n"), typed.String(), want)
		}
	})
}

// semi silences a chunk that is a call.
func semi(chunk string) string {
	if strings.HasSuffix(chunk, ")") && !strings.Contains(chunk, "\n") && strings.Contains(chunk, ".append") {
		return ";"
	}
	return ""
}
