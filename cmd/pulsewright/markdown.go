package main

import (
	"regexp"
	"strings"
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
			out.WriteString(fold(unmarked(strings.Join(text, " ")), first, rest, width))
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
			title := strings.TrimSuffix(fold(strings.TrimLeft(line, "# "), "", "", width), "\n")
			for t := range strings.SplitSeq(title, "\n") {
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
	s.WriteString(fold(unmarked(cs[0]), "", "    ", width))
	for i, c := range cs[1:] {
		label, rest := "", "    "
		if len(cs) > 2 && i+1 < len(heads) {
			label, rest = heads[i+1]+": ", "      "
		}
		if c != "" {
			s.WriteString(fold(unmarked(label+c), "    ", rest, width))
		}
	}
	return s.String()
}

// unmarked is text without the marks of Markdown for bold and for code.
func unmarked(text string) string {
	return strings.ReplaceAll(bold.ReplaceAllString(text, "$1"), "`", "")
}

var bold = regexp.MustCompile(`\*\*([^*` + "`" + `]+)\*\*`)

// fold breaks text at blanks into lines of at most width columns.
func fold(text, first, rest string, width int) string {
	var s strings.Builder
	line, empty := first, true
	for _, word := range strings.Fields(text) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > width {
			s.WriteString(line + "\n")
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return s.String() + line + "\n"
}
