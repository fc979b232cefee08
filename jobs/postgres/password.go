package postgres

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// argonCost is what one guess at a password costs: argon2id's second
// recommendation for where memory is scarce (19 MiB, two passes, one lane).
type argonCost struct {
	memoryKiB, passes uint32
	lanes             uint8
}

var passwordCost = argonCost{memoryKiB: 19 * 1024, passes: 2, lanes: 1}

const (
	saltBytes = 16
	hashBytes = 32
)

// errPasswordHash is returned for a stored hash that this program did not write.
var errPasswordHash = errors.New("the stored password is not an argon2id hash")

// hasher makes and compares password hashes, a few at a time, so that a crowd
// at the door cannot take the machine's memory.
type hasher struct{ places chan struct{} }

// maxHashing is how many passwords are hashed at once.
const maxHashing = 4

func newHasher() *hasher { return &hasher{make(chan struct{}, maxHashing)} }

func (h *hasher) enter(ctx context.Context) error {
	select {
	case h.places <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (h *hasher) leave() { <-h.places }

// hash returns the encoded hash of a password with a salt of its own.
func (h *hasher) hash(ctx context.Context, password string) (string, error) {
	if err := h.enter(ctx); err != nil {
		return "", err
	}
	defer h.leave()
	salt := make([]byte, saltBytes)
	rand.Read(salt) // never fails
	return encodeHash(passwordCost, salt, passwordCost.key(password, salt)), nil
}

// matches compares a password with an encoded hash in a time that tells nothing.
func (h *hasher) matches(ctx context.Context, password, encoded string) (bool, error) {
	if err := h.enter(ctx); err != nil {
		return false, err
	}
	defer h.leave()
	cost, salt, want, err := decodeHash(encoded)
	if err != nil {
		return false, err
	}
	return subtle.ConstantTimeCompare(cost.key(password, salt), want) == 1, nil
}

// strangersHash is compared with when a name is not known, so that the answer
// takes as long as a wrong password does. No password leads to it.
var strangersHash = encodeHash(passwordCost, make([]byte, saltBytes), make([]byte, hashBytes))

func (c argonCost) key(password string, salt []byte) []byte {
	return argon2.IDKey([]byte(password), salt, c.passes, c.memoryKiB, c.lanes, hashBytes)
}

// encodeHash writes a hash in the usual string form, with its costs, so that
// they can be raised later without losing anybody's password.
func encodeHash(cost argonCost, salt, key []byte) string {
	encode := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s",
		argon2.Version, cost.memoryKiB, cost.passes, cost.lanes, encode(salt), encode(key))
}

func decodeHash(encoded string) (cost argonCost, salt, key []byte, err error) {
	parts := strings.Split(encoded, "$")
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" || parts[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return cost, nil, nil, errPasswordHash
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &cost.memoryKiB, &cost.passes, &cost.lanes); err != nil {
		return cost, nil, nil, fmt.Errorf("%w: %w", errPasswordHash, err)
	}
	salt, errSalt := base64.RawStdEncoding.DecodeString(parts[4])
	key, errKey := base64.RawStdEncoding.DecodeString(parts[5])
	if errSalt != nil || errKey != nil || cost.passes == 0 || cost.lanes == 0 || len(key) != hashBytes {
		return cost, nil, nil, errPasswordHash
	}
	return cost, salt, key, nil
}
