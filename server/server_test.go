package server_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"

	"wetside/jobs"
	"wetside/server"
)

func TestHealth(t *testing.T) {
	t.Parallel()
	var broken error
	l := open(t, func(_ *server.Services, o *server.Options) { o.Ready = func(context.Context) error { return broken } })
	b := browse(t, l.URL)
	b.get("/healthz").status(http.StatusOK)
	b.do(http.MethodHead, "/healthz", nil).status(http.StatusOK)
	broken = errors.New("no connection to records-7")
	if got := b.get("/healthz").status(http.StatusServiceUnavailable); strings.Contains(got.body, "records-7") {
		t.Errorf("shown: %s", got.body)
	}
}

// A server that is told to stop answers what it has begun.
func TestServeStopsWhenTheContextEnds(t *testing.T) {
	t.Parallel()
	l := open(t)
	begun, finish := make(chan struct{}), make(chan struct{})
	made, err := server.NewWithStandIns(l.services, server.Options{Log: slog.New(slog.NewTextHandler(io.Discard, nil))}, func(c echo.Context) error {
		close(begun)
		<-finish
		return c.String(http.StatusOK, "whole")
	})
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	served := make(chan error, 1)
	go func() { served <- made.Serve(ctx, listener) }()
	answered := make(chan string, 1)
	go func() {
		response, err := http.Get("http://" + listener.Addr().String() + "/")
		if err != nil {
			answered <- err.Error()
			return
		}
		defer response.Body.Close()
		body, _ := io.ReadAll(response.Body)
		answered <- string(body)
	}()
	<-begun
	stop()
	close(finish)
	if got := <-answered; got != "whole" {
		t.Errorf("the request under way got %q", got)
	}
	if err := <-served; err != nil {
		t.Errorf("stopping: %v", err)
	}
	if _, err := net.Dial("tcp", listener.Addr().String()); err == nil {
		t.Error("still listening")
	}
}

func TestEveryCodeHasAStatus(t *testing.T) {
	t.Parallel()
	for code, want := range map[jobs.Code]int{
		jobs.Invalid: 422, jobs.Refused: 422, jobs.NotFound: 404, jobs.Stale: 409, jobs.WrongState: 409,
		jobs.Duplicate: 409, jobs.Unauthorised: 401, jobs.Forbidden: 403, jobs.TooMany: 429,
	} {
		if got := server.Statuses[code]; got != want {
			t.Errorf("%s is %d, want %d", code, got, want)
		}
	}
}

func TestLimiter(t *testing.T) {
	t.Parallel()
	limiter := server.NewLimiter(3, 10*time.Second)
	at := start
	for i, test := range []struct {
		later time.Duration
		wait  time.Duration
	}{
		{0, 0}, {0, 0}, {0, 0},
		{0, 10 * time.Second},
		{4 * time.Second, 6 * time.Second},
		{6 * time.Second, 0},
		{0, 10 * time.Second},
		{time.Hour, 0}, {0, 0}, {0, 0}, {0, 10 * time.Second}, // never more than three at once
	} {
		at = at.Add(test.later)
		if got := limiter.Take("one", at); got != test.wait {
			t.Fatalf("try %d: wait %s, want %s", i+1, got, test.wait)
		}
	}
	if limiter.Take("another", at) != 0 {
		t.Error("one key holds another back")
	}
	limiter.GiveBack("one")
	if limiter.Take("one", at) != 0 {
		t.Error("a try given back cannot be used")
	}
	limiter.GiveBack("never seen")
}

func TestLimiterForgetsWhoIsIdle(t *testing.T) {
	t.Parallel()
	limiter := server.NewLimiter(1, time.Second)
	for i := range 10_000 {
		limiter.Take(itoa(i), start.Add(time.Duration(i)*time.Second))
	}
	if n := limiter.Keys(); n > 2000 {
		t.Errorf("%d keys are remembered, all but one of them idle", n)
	}
}

func TestSentencesBeginWithACapital(t *testing.T) {
	t.Parallel()
	for message, want := range map[string]string{"": "", "the EI": "The EI", "“x” is": "“x” is", "−1 is": "−1 is", "é": "É", "1 roll": "1 roll"} {
		if got := server.Sentence(message); got != want {
			t.Errorf("%q becomes %q, want %q", message, got, want)
		}
	}
}
