package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// OrderID is the key of an order and the number people call it by.
type OrderID int64

// Return is how an order goes back to its owner.
type Return string

// The ways back.
const (
	Collect Return = "collect"
	Post    Return = "post"
)

// Order is what one customer sends in together.
type Order struct {
	ID        OrderID
	Token     string // 128 random bits, the key of the customer's private page
	Reference string // the sender's own word for it, "" for none
	Name      string
	Email     string
	Phone     string
	Return    Return
	Address   string // where it is posted to; "" when collected
	Submitted time.Time
	Due       time.Time // as promised when it was ordered
	Rolls     []Roll
}

// OrderState sums up where the rolls of an order are.
type OrderState string

// The states of an order, each with the rolls it stands for.
const (
	OrderExpected  OrderState = "expected"    // no roll is here yet
	OrderHeld      OrderState = "held"        // at least one waits for an answer
	OrderInWork    OrderState = "in work"     // at least one is between received and finishing
	OrderPartReady OrderState = "part ready"  // some are ready or gone, others still expected
	OrderReady     OrderState = "ready"       // every roll that can leave waits to leave
	OrderDelivered OrderState = "delivered"   // every roll has ended, at least one delivered
	OrderEnded     OrderState = "ended early" // every roll was cancelled or spoiled
)

// NewOrder is an order as it is submitted.
type NewOrder struct {
	// The sender's own word for the order. Content is compared as JSON, in which
	// an order without one is as it always was.
	Reference string `json:",omitempty"`

	Name    string
	Email   string
	Phone   string
	Return  Return
	Address string
	Rolls   []NewRoll
}

// NewRoll is a roll as its owner describes it.
type NewRoll struct {
	Stock     StockID
	Format    chemistry.Format
	Exposures int
	Light     chemistry.Light
	Filter    string
	EI        int              // 0 when not said
	Push      *chemistry.Stops // nil when left to the note, or normal when there is none
	Solution  SolutionID       // black and white: the developer wanted; 0 for the stock's usual one
	Note      string
	Service   Service
}

// MaxRolls is the most rolls one order takes.
const MaxRolls = 50

// OrderQuery selects orders for a list.
type OrderQuery struct {
	Search string  // part of a name, a reference, an order number or a twin-check
	Open   bool    // only orders with a roll that has not ended
	Before OrderID // only orders with a smaller number; 0 for the newest
	Limit  int     // 1 to 100
}

// OrderService keeps orders.
type OrderService interface {
	// Submit takes an order in. A key makes it safe to send twice: the same key
	// with the same content returns the order taken before and true; with
	// other content it is a Duplicate. An empty key is never compared.
	// Invalid names every wrong field, as "rolls[0].ei".
	Submit(ctx context.Context, by Actor, order NewOrder, key string) (taken Order, again bool, err error)
	// Workload returns what lies before the next order, which decides when it
	// can be ready. It is at most a minute old.
	Workload(ctx context.Context) (Workload, error)
	// Order returns an order with its rolls: NotFound when there is none.
	Order(ctx context.Context, id OrderID) (Order, error)
	// OrderByToken returns the order of a private link: NotFound when none fits.
	OrderByToken(ctx context.Context, token string) (Order, error)
	// Orders lists orders with their rolls, the newest first.
	Orders(ctx context.Context, query OrderQuery) ([]Order, error)
}
