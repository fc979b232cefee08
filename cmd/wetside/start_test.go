package main

import (
	"bytes"
	"net"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// runProgram runs a command to its end and returns what it says.
func runProgram(t *testing.T, data, input string, args ...string) (out, errors string, status int) {
	t.Helper()
	cmd := programCommand(t.Context(), data, args...)
	var stdout, stderr bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(input), &stdout, &stderr
	if err := cmd.Run(); err != nil {
		if _, ended := err.(*exec.ExitError); !ended {
			t.Fatal(err)
		}
	}
	return stdout.String(), stderr.String(), cmd.ProcessState.ExitCode()
}

func TestTwoDemosAtOnceShareTheirRecords(t *testing.T) {
	t.Parallel()
	data := dataFolder(t)
	first := start(t, data, "demo", "--addr", "127.0.0.1:0")
	second := start(t, data, "demo", "--addr", "127.0.0.1:0")
	if first.url == second.url {
		t.Fatalf("both listen on %s", first.url)
	}
	private := regexp.MustCompile(`/o/\S+`)
	first.stop() // the second must live on
	for _, line := range strings.Split(second.get("/"), "\n") {
		if private.MatchString(line) {
			t.Errorf("the front page shows a private link: %s", line)
		}
	}
}

func TestABusyAddressIsNamed(t *testing.T) {
	t.Parallel()
	busy, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	_, said, status := runProgram(t, dataFolder(t), "", "serve", "--addr", busy.Addr().String())
	if status != 1 || !strings.Contains(said, busy.Addr().String()) || !strings.Contains(said, "--addr") {
		t.Errorf("status %d: %s", status, said)
	}
}

func TestBadCommandLines(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ line, want string }{
		{"", "Usage"},
		{"develop", `no command "develop"`},
		{"serve now", `unexpected "now"`},
		{"demo --adr :1", "-adr"},
		{"serve --addr 8080", "HOST:PORT"},
		{"user", "list, add, password, on or off"},
		{"user fire bench", `no "fire"`},
		{"user add", "takes one name"},
		{"migrate down", `unexpected "down"`},
	} {
		_, said, status := runProgram(t, t.TempDir(), "", strings.Fields(test.line)...)
		if status != 2 || !strings.Contains(said, test.want) {
			t.Errorf("wetside %s: status %d, %q; want 2 and %q", test.line, status, said, test.want)
		}
	}
}

func TestPeopleComeInByTheUserCommand(t *testing.T) {
	t.Parallel()
	data := dataFolder(t)
	steps := []struct {
		line, input string
		status      int
		want        string
	}{
		{"user list", "", 0, "Nobody can sign in yet"},
		{"user add --role owner keeper", "short\n", 2, "10"},
		{"user add --role boss keeper", "long enough, surely\n", 2, "role"},
		{"user add --role owner keeper", "long enough, surely\n", 0, "keeper (owner) can sign in"},
		{"user add keeper", "long enough, surely\n", 2, "already"},
		{"user off keeper", "", 2, "owner"},
		{"user password nobody", "long enough, surely\n", 2, `nobody is called "nobody"`},
		{"user list", "", 0, "owner  on   keeper"},
		{"migrate", "", 0, "up to date"},
	}
	for _, step := range steps {
		out, said, status := runProgram(t, data, step.input, strings.Fields(step.line)...)
		if status != step.status || !strings.Contains(out+said, step.want) {
			t.Errorf("wetside %s: status %d, %q; want %d and %q", step.line, status, out+said, step.status, step.want)
		}
	}
}
