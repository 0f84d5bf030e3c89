package database

import (
	"fmt"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"
)

// PostgreSQL's manual, appendix A: 40001 serialization_failure and 40P01
// deadlock_detected mean "run the transaction again"; 23505 unique_violation does not.
func TestWhatIsRunAgain(t *testing.T) {
	for code, again := range map[string]bool{"40001": true, "40P01": true, "23505": false, "57P01": false} {
		if err := fmt.Errorf("keep: %w", &pgconn.PgError{Code: code}); collided(err) != again {
			t.Errorf("%s is run again: %v", code, !again)
		}
	}
}
