// Package conformance holds no code: its tests state what a record does on whatever engine
// it lies, beside what the tests of its parts state, which run on every engine, too: what
// comes first, what is a limit, what two who meet may do, and what a crash leaves.
package conformance
