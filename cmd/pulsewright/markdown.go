package main

import (
	"regexp"
	"strings"

	"pulsewright/builtins/say"
)

// readable makes plain text of a page in the little Markdown that the guide uses: headings, paragraphs, lists, tables and
// what is shown as it is. Lines are broken at blanks to the width; a row of a table becomes a few lines.
func readable(page string, width int, heading func(string) string) string {
	var out strings.Builder
	var text []string // of the paragraph or item being read
	flush := func() {
		if len(text) > 0 {
			first, rest := "", ""
			if strings.HasPrefix(text[0], "- ") {
				first, rest, text[0] = "- ", "  ", text[0][2:]
			}
			out.WriteString(say.Fill(unmarked(strings.Join(text, " ")), first, rest, width) + "\n")
		}
		text = nil
	}
	var heads []string // of the table being read
	code := false
	for line := range strings.SplitSeq(strings.TrimRight(page, "\n"), "\n") {
		isRow := strings.HasPrefix(line, "|")
		if !isRow {
			heads = nil
		}
		switch {
		case strings.HasPrefix(line, "```"):
			flush()
			code = !code
		case code:
			out.WriteString("    " + line + "\n")
		case strings.HasPrefix(line, "    "):
			flush()
			out.WriteString(line + "\n")
		case strings.HasPrefix(line, "<!--"):
			flush()
		case strings.HasPrefix(line, "#"):
			flush()
			for t := range strings.SplitSeq(say.Fill(strings.TrimLeft(line, "# "), "", "", width), "\n") {
				out.WriteString(heading(t) + "\n")
			}
		case isRow && heads == nil:
			flush()
			heads = cells(line)
		case strings.HasPrefix(line, "|---"):
		case isRow:
			out.WriteString(row(heads, cells(line), width))
		case line == "":
			flush()
			out.WriteString("\n")
		case strings.HasPrefix(line, "- "):
			flush()
			text = []string{line}
		default:
			text = append(text, strings.TrimSpace(line))
		}
	}
	flush()
	return strings.ReplaceAll(out.String(), "\n\n\n", "\n\n")
}

// cells are the cells of a row of a table; \| is a stroke in one.
func cells(row string) (cs []string) {
	row = strings.ReplaceAll(strings.Trim(row, "| "), `\|`, "\x00")
	for c := range strings.SplitSeq(row, "|") {
		cs = append(cs, strings.ReplaceAll(strings.TrimSpace(c), "\x00", "|"))
	}
	return cs
}

// row is a row of a table in lines: what it is about, then the other cells, each with its head if there are several.
func row(heads, cs []string, width int) string {
	var s strings.Builder
	s.WriteString(say.Fill(unmarked(cs[0]), "", "    ", width) + "\n")
	for i, c := range cs[1:] {
		label, rest := "", "    "
		if len(cs) > 2 && i+1 < len(heads) {
			label, rest = heads[i+1]+": ", "      "
		}
		if c != "" {
			s.WriteString(say.Fill(unmarked(label+c), "    ", rest, width) + "\n")
		}
	}
	return s.String()
}

// unmarked is text without the marks of Markdown for bold and for code.
func unmarked(text string) string {
	return strings.ReplaceAll(bold.ReplaceAllString(text, "$1"), "`", "")
}

var bold = regexp.MustCompile(`\*\*([^*` + "`" + `]+)\*\*`)
