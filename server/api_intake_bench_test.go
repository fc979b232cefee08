package server_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"wetside/jobs"
	"wetside/jobs/postgres"
	"wetside/jobs/postgres/cluster"
	"wetside/server"
)

// BenchmarkOrderIntake takes orders of three rolls in through the API, eight
// customers at a time, and writes the same rows straight into the same
// PostgreSQL, in turns. The records are durable, as in use.
func BenchmarkOrderIntake(b *testing.B) {
	const atOnce, round = 8, 96
	ctx := context.Background()
	pool := durable(b)
	db := postgres.NewDB(pool, func() time.Time { return start })
	catalogue, err := postgres.NewCatalogueStore(db).Catalogue(ctx)
	if err != nil {
		b.Fatal(err)
	}
	order := jobs.NewOrder{Name: "Fern Hollow", Email: "fern@example.org", Return: jobs.Collect}
	body := ""
	for _, stock := range catalogue.Stocks {
		if stock.Active && len(order.Rolls) < 3 {
			order.Rolls = append(order.Rolls, jobs.NewRoll{Stock: stock.ID, Format: "135", Note: "push 1"})
			body += fmt.Sprintf(`,{"stock":%d,"format":"135","note":"push 1"}`, stock.ID)
		}
	}
	admitted, err := jobs.Admit(order, catalogue, jobs.Workload{}, start)
	if err != nil {
		b.Fatal(err)
	}
	intake := listening(b, db)
	var number atomic.Int64
	served := func() error {
		request, err := http.NewRequestWithContext(ctx, http.MethodPost, intake.URL+"/api/v1/orders", strings.NewReader(orderOf(body[1:])))
		if err != nil {
			return err
		}
		request.Header.Set("Content-Type", "application/json")
		request.Header.Set("Idempotency-Key", fmt.Sprint("served ", number.Add(1)))
		response, err := intake.Client().Do(request)
		if err != nil {
			return err
		}
		defer response.Body.Close()
		if text, _ := io.ReadAll(response.Body); response.StatusCode != http.StatusCreated {
			return fmt.Errorf("%s: %s", response.Status, text)
		}
		return nil
	}
	bare := func() error { return insertOrder(ctx, pool, admitted, fmt.Sprint("bare ", number.Add(1))) }
	inTurns(b, atOnce, round, served) // connections and plans are made first
	inTurns(b, atOnce, round, bare)
	var service, alone time.Duration
	for b.Loop() {
		service += inTurns(b, atOnce, round, served)
		alone += inTurns(b, atOnce, round, bare)
	}
	orders := float64(b.N * round)
	b.ReportMetric(orders/service.Seconds(), "orders/s")
	b.ReportMetric(orders/alone.Seconds(), "bare/s")
	b.ReportMetric(100*alone.Seconds()/service.Seconds(), "%ofbare")
	b.ReportMetric(0, "ns/op")
}

// durable is a PostgreSQL that keeps what it acknowledges, with a catalogue.
func durable(b *testing.B) *pgxpool.Pool {
	b.Helper()
	ctx, folder := context.Background(), b.TempDir()
	// As root PostgreSQL runs as somebody else, who must be able to go there.
	if err := os.Chmod(filepath.Dir(folder), 0o755); err != nil {
		b.Fatal(err)
	}
	private, err := cluster.Open(ctx, cluster.Config{Dir: filepath.Join(folder, "records"), Durable: true, Log: io.Discard})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := private.Close(); err != nil {
			b.Error(err)
		}
	})
	pool, err := pgxpool.New(ctx, private.DSN("postgres")+" pool_max_conns=8")
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(pool.Close)
	if err := fill(ctx, pool); err != nil {
		b.Fatal(err)
	}
	return pool
}

// listening is the service over records, to customers without end: its clock
// moves on with every look, so that nobody is held back.
func listening(b *testing.B, db *postgres.DB) *httptest.Server {
	b.Helper()
	var looks atomic.Int64
	made, err := server.New(
		server.Services{Catalogue: postgres.NewCatalogueStore(db), Orders: postgres.NewOrderStore(db)},
		server.Options{
			Log: slog.New(slog.NewTextHandler(io.Discard, nil)),
			Now: func() time.Time { return start.Add(time.Duration(looks.Add(1)) * 3 * time.Second) },
		})
	if err != nil {
		b.Fatal(err)
	}
	listening := httptest.NewServer(made.Handler())
	transport := listening.Client().Transport.(*http.Transport)
	transport.MaxIdleConnsPerHost, transport.DisableCompression = 100, true
	b.Cleanup(listening.Close)
	return listening
}

// inTurns does something so many times, several at once, and returns how long
// that took.
func inTurns(b *testing.B, atOnce, times int, do func() error) time.Duration {
	b.Helper()
	var all sync.WaitGroup
	begun := time.Now()
	for range atOnce {
		all.Go(func() {
			for range times / atOnce {
				if err := do(); err != nil {
					b.Error(err)
				}
			}
		})
	}
	all.Wait()
	return time.Since(begun)
}

// insertOrder writes the rows that the service writes for an order: the order,
// its rolls and their first events, in one transaction.
func insertOrder(ctx context.Context, pool *pgxpool.Pool, o jobs.Order, key string) error {
	return pgx.BeginFunc(ctx, pool, func(tx pgx.Tx) error {
		var id int64
		err := tx.QueryRow(ctx, `INSERT INTO orders
			(token, name, email, phone, return_by, address, submitted_at, due_at, idempotency_key, content_hash)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING id`,
			rand.Text(), o.Name, o.Email, o.Phone, o.Return, o.Address, o.Submitted, o.Due, key, []byte(key)).Scan(&id)
		if err != nil {
			return err
		}
		keys := make([]int64, len(o.Rolls))
		rolls, events := &pgx.Batch{}, &pgx.Batch{}
		for i, r := range o.Rolls {
			rolls.Queue(`INSERT INTO rolls (order_id, position, stock_id, process, remjet, solution_id, format, exposures, light,
				filter, ei, push_sixths, note, reading, confirm, cut_and_sleeve, scan, return_negatives, state, since, due_at)
				VALUES ($1, $2, $3, $4, $5, nullif($6::bigint, 0), $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)
				RETURNING id`,
				id, r.Position, r.Stock, r.Process, r.Remjet, int64(r.Solution), string(r.Format), r.Exposures, r.Light, r.Filter, r.EI, int(r.Push),
				r.Note, r.Reading, r.Confirm, true, true, true, r.State, r.Since, r.Due,
			).QueryRow(func(row pgx.Row) error { return row.Scan(&keys[i]) })
		}
		if err := tx.SendBatch(ctx, rolls).Close(); err != nil {
			return err
		}
		for i, r := range o.Rolls {
			events.Queue(`INSERT INTO events (at, by_name, kind, order_id, roll_id, from_state, to_state, why)
				VALUES ($1, 'customer', 'order', $2, $3, '', $4, $5)`, o.Submitted, id, keys[i], r.State, r.Reading)
		}
		return tx.SendBatch(ctx, events).Close()
	})
}
