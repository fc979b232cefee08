package jobs

import (
	"context"
	"time"
)

// ImportID is the key of an import.
type ImportID int64

// Import is a file of orders that was taken in.
type Import struct {
	ID     ImportID
	At     time.Time
	By     string // who brought it in
	Orders []Order
}

// ImportService takes orders in that come together in a file.
type ImportService interface {
	// Import takes in all orders of a file, or, when a cell is wrong, none; the
	// error is that of [OrderFile.Orders]. It is taken once: the same key, or
	// the same content where the key is "", returns what was taken before and
	// true; the same key with other content is a Duplicate. After thirty days a
	// key is forgotten.
	Import(ctx context.Context, by Actor, file OrderFile, key string) (taken Import, again bool, err error)
	// ImportOf returns the import that took a file before: NotFound when none
	// did.
	ImportOf(ctx context.Context, file OrderFile) (Import, error)
	// SameReference returns, for each order of a file, the last one on record
	// with its reference and e-mail address, 0 for none: the file may bring it
	// again, among others that are new.
	SameReference(ctx context.Context, orders []FileOrder) ([]OrderID, error)
	// OneImport returns an import with its orders: NotFound when there is none.
	OneImport(ctx context.Context, id ImportID) (Import, error)
	// Imports lists the last imports with their orders, the newest first.
	Imports(ctx context.Context, limit int) ([]Import, error)
}
