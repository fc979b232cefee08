package server_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
)

// yamlReader reads the part of YAML that openapi.yaml is written in: blocks by
// indentation, flow lists and maps on one line, plain and double-quoted text,
// and folded text. Everything that is no map and no list is a string.
type yamlReader struct {
	t     *testing.T
	lines []string
}

func readYAML(t *testing.T, text []byte) map[string]any {
	t.Helper()
	r := &yamlReader{t: t}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, " \n")
		if line != "" && !strings.HasPrefix(strings.TrimSpace(line), "#") {
			r.lines = append(r.lines, line)
		}
	}
	read := r.block(0).(map[string]any)
	if len(r.lines) > 0 {
		t.Fatalf("cannot read YAML from %q on", r.lines[0])
	}
	return read
}

// indent is how deep the next line stands, -1 behind the last one.
func (r *yamlReader) indent() int {
	if len(r.lines) == 0 {
		return -1
	}
	return len(r.lines[0]) - len(strings.TrimLeft(r.lines[0], " "))
}

// block reads the lines that stand at least this deep.
func (r *yamlReader) block(depth int) any {
	if depth = max(depth, r.indent()); strings.HasPrefix(r.lines[0][depth:], "- ") {
		var list []any
		for r.indent() == depth {
			list = append(list, r.value(strings.TrimPrefix(r.lines[0][depth:], "- "), depth))
		}
		return list
	}
	read := map[string]any{}
	for r.indent() == depth {
		key, rest, ok := strings.Cut(r.lines[0][depth:], ":")
		if _, twice := read[key]; !ok || twice {
			r.t.Fatalf("no new key in the YAML line %q", r.lines[0])
		}
		read[strings.Trim(key, `"`)] = r.value(strings.TrimSpace(rest), depth)
	}
	return read
}

// value reads what stands behind a key or a hyphen, and the lines below it.
func (r *yamlReader) value(rest string, depth int) any {
	r.lines = r.lines[1:]
	if rest == "" && r.indent() > depth {
		return r.block(depth + 1)
	}
	if rest == ">-" {
		var words []string
		for r.indent() > depth {
			words = append(words, strings.TrimSpace(r.lines[0]))
			r.lines = r.lines[1:]
		}
		return strings.Join(words, " ")
	}
	if !strings.HasPrefix(rest, "{") && !strings.HasPrefix(rest, "[") && !strings.HasPrefix(rest, `"`) {
		return rest
	}
	read, left := r.flow(rest)
	if left != "" {
		r.t.Fatalf("more YAML than one value: %q", rest)
	}
	return read
}

// flow reads one value and returns what is left behind it.
func (r *yamlReader) flow(text string) (any, string) {
	switch text[0] {
	case '{':
		read := map[string]any{}
		for text = text[1:]; text[0] != '}'; text = strings.TrimLeft(text, ", ") {
			key, rest, ok := strings.Cut(text, ": ")
			if !ok || strings.ContainsAny(key, ",{}[]") {
				r.t.Fatalf("no key in the YAML %q", text)
			}
			read[strings.Trim(key, `"`)], text = r.flow(rest)
		}
		return read, text[1:]
	case '[':
		list := []any{}
		for text = text[1:]; text[0] != ']'; text = strings.TrimLeft(text, ", ") {
			var one any
			one, text = r.flow(text)
			list = append(list, one)
		}
		return list, text[1:]
	case '"':
		quoted, err := strconv.QuotedPrefix(text)
		if err != nil {
			r.t.Fatalf("YAML %q: %v", text, err)
		}
		plain, _ := strconv.Unquote(quoted) // a quoted prefix can be unquoted
		return plain, text[len(quoted):]
	}
	end := strings.IndexAny(text, ",]}")
	if end < 0 {
		r.t.Fatalf("YAML ends inside %q", text)
	}
	return text[:end], text[end:]
}

// yamlAt goes down a path of keys; nothing there is nil.
func yamlAt(in any, keys ...string) any {
	for _, key := range keys {
		inside, _ := in.(map[string]any)
		in = inside[key]
	}
	return in
}

// yamlText is the text at a path, "" for none.
func yamlText(in any, keys ...string) string {
	found := yamlAt(in, keys...)
	if found == nil {
		return ""
	}
	return fmt.Sprint(found)
}
