package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"

	"wetside/cmd/wetside/demolab"
)

// caller calls the API as somebody who signed in.
type caller struct {
	t      *testing.T
	client *http.Client
}

func newCaller(t *testing.T) *caller {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &caller{t, &http.Client{Jar: jar}}
}

// call sends JSON and returns the status and the decoded answer; an error is a
// connection that broke.
func (c *caller) call(method, url, key string, body any) (int, map[string]any, error) {
	payload, err := json.Marshal(body)
	if err != nil {
		return 0, nil, err
	}
	request, err := http.NewRequestWithContext(c.t.Context(), method, url, bytes.NewReader(payload))
	if err != nil {
		return 0, nil, err
	}
	request.Header.Set("Content-Type", "application/json")
	if key != "" {
		request.Header.Set("Idempotency-Key", key)
	}
	response, err := c.client.Do(request)
	if err != nil {
		return 0, nil, err
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil {
		return 0, nil, err
	}
	var answer map[string]any
	if len(text) > 0 {
		err = json.Unmarshal(text, &answer)
	}
	return response.StatusCode, answer, err
}

// must is call for what has to succeed.
func (c *caller) must(method, url, key string, body any) map[string]any {
	c.t.Helper()
	status, answer, err := c.call(method, url, key, body)
	if err != nil || status >= 300 {
		c.t.Fatalf("%s %s: %d %v %v", method, url, status, answer, err)
	}
	return answer
}

func (c *caller) signIn(base string, s demolab.SignIn) {
	c.t.Helper()
	c.must(http.MethodPost, base+"/api/v1/session", "", map[string]string{"name": s.Name, "password": s.Password})
}

// crashOrder is the order of a key; its name is found again by searching.
func crashOrder(key string, stock float64) map[string]any {
	roll := map[string]any{"stock": stock, "format": "135", "exposures": 36, "light": "daylight", "push": 1}
	return map[string]any{"name": "Crash " + key, "email": "crash@example.org", "return": "collect", "rolls": []any{roll, roll}}
}

// colourStock is the key of a stock that takes a push in C-41.
func (c *caller) colourStock(base string) float64 {
	c.t.Helper()
	answer := c.must(http.MethodGet, base+"/api/v1/stocks", "", nil)
	for _, one := range answer["stocks"].([]any) {
		if stock := one.(map[string]any); stock["name"] == "Sedge 640" {
			return stock["id"].(float64)
		}
	}
	c.t.Fatalf("no Sedge 640 in %v", answer)
	return 0
}

// sender sends orders until the program is killed and keeps which were
// acknowledged, by key.
type sender struct {
	mu     sync.Mutex
	tried  []string
	acked  map[string]float64
	enough chan struct{} // closed when so many were acknowledged
}

// ackedBeforeKill is how many orders are acknowledged before the kill, which
// then comes while the senders go on.
const ackedBeforeKill = 60

func (s *sender) send(c *caller, base string, stock float64, worker int) {
	for n := 0; ; n++ {
		key := fmt.Sprintf("%d-%d", worker, n)
		s.mu.Lock()
		s.tried = append(s.tried, key)
		s.mu.Unlock()
		status, answer, err := c.call(http.MethodPost, base+"/api/v1/orders", key, crashOrder(key, stock))
		if err != nil {
			return // killed
		}
		if status != http.StatusCreated {
			c.t.Errorf("order %s: %d %v", key, status, answer)
			return
		}
		s.mu.Lock()
		s.acked[key] = answer["number"].(float64)
		if len(s.acked) == ackedBeforeKill {
			close(s.enough)
		}
		s.mu.Unlock()
	}
}

func TestKilledInTheMiddleOfWritingLosesNothing(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name       string
		postmaster bool // PostgreSQL is killed, too
	}{{"the program", false}, {"the program and PostgreSQL", true}} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			data := dataFolder(t)
			before := start(t, data, "demo", "--addr", "127.0.0.1:0")
			c := newCaller(t)
			c.signIn(before.url, demolab.SignIns[0])
			stock := c.colourStock(before.url)
			s := &sender{acked: map[string]float64{}, enough: make(chan struct{})}
			var senders sync.WaitGroup
			for worker := range 4 {
				senders.Go(func() { s.send(c, before.url, stock, worker) })
			}
			<-s.enough
			if test.postmaster {
				killPostgres(t, data)
			}
			before.kill()
			senders.Wait()
			after := start(t, data, "demo", "--addr", "127.0.0.1:0")
			s.check(c, after.url, stock)
		})
	}
}

// check sends every order again and looks for doubles.
func (s *sender) check(c *caller, base string, stock float64) {
	c.t.Helper()
	for key, number := range s.acked {
		order := c.must(http.MethodGet, fmt.Sprintf("%s/api/v1/orders/%.0f", base, number), "", nil)
		if order["name"] != "Crash "+key || len(order["rolls"].([]any)) != 2 {
			c.t.Errorf("acknowledged order %s came back as %v", key, order)
		}
	}
	for _, key := range s.tried {
		answer := c.must(http.MethodPost, base+"/api/v1/orders", key, crashOrder(key, stock))
		if number, known := s.acked[key]; known && answer["number"] != number {
			c.t.Errorf("order %s was %v, sent again it is %v", key, number, answer["number"])
		}
	}
	numbers := map[string]float64{}
	for page := base + "/api/v1/orders?search=Crash&limit=100"; page != ""; {
		answer := c.must(http.MethodGet, page, "", nil)
		page = ""
		for _, one := range answer["orders"].([]any) {
			order := one.(map[string]any)
			name, number := order["name"].(string), order["number"].(float64)
			if earlier, twice := numbers[name]; twice {
				c.t.Errorf("%s was taken twice: %v and %v", name, earlier, number)
			}
			numbers[name] = number
			if len(numbers)%100 == 0 {
				page = fmt.Sprintf("%s/api/v1/orders?search=Crash&limit=100&before=%.0f", base, number)
			}
		}
	}
	if len(numbers) != len(s.tried) {
		c.t.Errorf("%d orders are kept, %d were sent", len(numbers), len(s.tried))
	}
}

// killPostgres ends the demo's PostgreSQL with no chance to do anything.
func killPostgres(t *testing.T, data string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(data, "demo", "data", "postmaster.pid"))
	if err != nil {
		t.Fatal(err)
	}
	pid, err := strconv.Atoi(strings.SplitN(string(text), "\n", 2)[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
}
