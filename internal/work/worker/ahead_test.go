package worker

import (
	"errors"
	"io"
	"io/fs"
	"strings"
	"testing"

	"netagauge/internal/work/record"
)

// counted is a photo that counts how often it was opened and is open.
type counted struct{ opened, open int }

func (c *counted) photo(fails error) record.Photo {
	return record.Photo{Name: "a.jpg", Open: func() (io.ReadCloser, int64, error) {
		if fails != nil {
			return nil, 0, fails
		}
		c.opened++
		c.open++
		return closing{strings.NewReader("photo"), c}, 5, nil
	}}
}

type closing struct {
	io.Reader
	*counted
}

func (c closing) Close() error {
	c.open--
	return nil
}

// A photo that was fetched ahead is fetched once for the first try and once for the
// second; one that nobody asks for is closed, also when the other one cannot be had.
func TestFetchedAhead(t *testing.T) {
	for tries, opened := range []int{1, 1, 2} {
		var c counted
		p, none := c.photo(nil), record.Photo{}
		closed, err := ahead(&p, &none)
		if err != nil || none.There() {
			t.Fatal(err)
		}
		for range tries {
			data, err := p.Read()
			if err != nil || string(data) != "photo" {
				t.Errorf("%q, %v", data, err)
			}
		}
		if err := closed(); err != nil || c.open != 0 || c.opened != opened {
			t.Errorf("%d tries: opened %d times, open %d: %v", tries, c.opened, c.open, err)
		}
	}
	var c counted
	p, gone := c.photo(nil), c.photo(fs.ErrNotExist)
	closed, err := ahead(&p, &gone)
	if closed(); !errors.Is(err, fs.ErrNotExist) || c.open != 0 {
		t.Errorf("open %d: %v", c.open, err)
	}
}
