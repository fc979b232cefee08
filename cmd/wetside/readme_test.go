//go:build readme

package main

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// TestReadme does what the README shows. It needs bash and curl, which the
// suite does without; hence its build tag.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Run("the day with curl", func(t *testing.T) {
		block := regexp.MustCompile("(?s)```bash\n(.*?)```").FindSubmatch(text)
		if block == nil {
			t.Fatal("the README has no bash block")
		}
		p := start(t, dataFolder(t), "demo", "--addr", "127.0.0.1:0")
		script := strings.Replace(string(block[1]), "http://127.0.0.1:8080", p.url, 1)
		out, err := exec.CommandContext(t.Context(), "bash", "-c", script).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		for _, want := range []string{`"develop_s":225`, `"state":"delivered"`} {
			if !strings.Contains(string(out), want) {
				t.Errorf("the day does not say %s:\n%s", want, out)
			}
		}
	})
	t.Run("the single questions", func(t *testing.T) {
		shown := regexp.MustCompile(`(?m)^\$ go run \./cmd/wetside (.*)\n((?:.+\n|\n  )+)`).FindAllStringSubmatch(string(text), -1)
		if len(shown) != 3 {
			t.Fatalf("%d commands with answers, want 3", len(shown))
		}
		for _, one := range shown {
			cmd := programCommand(t.Context(), t.TempDir())
			line := exec.CommandContext(t.Context(), "bash", "-c", os.Args[0]+" "+one[1])
			line.Env = cmd.Env
			out, err := line.Output()
			want := strings.TrimSuffix(strings.TrimSpace(one[2]), "\n```")
			if err != nil || strings.TrimSpace(string(out)) != want {
				t.Errorf("wetside %s: %v\n%s\nthe README says\n%s", one[1], err, out, want)
			}
		}
	})
}
