#include "opencv.h"

#include <cstdlib>
#include <cstring>
#include <exception>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace {

// guarded runs f and turns whatever it throws into text.
template <class F> char *guarded(F f) {
	try {
		f();
		return nullptr;
	} catch (const std::exception &e) {
		return strdup(e.what());
	} catch (...) {
		return strdup("unknown exception");
	}
}

// over is a view of the caller's pixels: nothing is copied.
cv::Mat over(const plane &p) { return cv::Mat(p.height, p.width, CV_8UC1, p.pix, p.stride); }

// morph opens or closes with a disc.
void morph(cv::Mat &m, int op, int radius) {
	if (radius < 1)
		return;
	cv::Size side(2 * radius + 1, 2 * radius + 1);
	cv::morphologyEx(m, m, op, cv::getStructuringElement(cv::MORPH_ELLIPSE, side));
}

template <class T> T *array(size_t n) {
	T *p = static_cast<T *>(malloc(n * sizeof(T) + 1));
	if (!p)
		throw std::bad_alloc();
	return p;
}

} // namespace

char *blur(plane src, plane dst, int side) {
	return guarded([&] {
		cv::Mat to = over(dst);
		cv::blur(over(src), to, cv::Size(side, side));
		CV_Assert(to.data == dst.pix); // else it was written elsewhere
	});
}

char *warp(plane src, plane dst, float *xs, float *ys) {
	return guarded([&] {
		cv::Mat to = over(dst);
		cv::Mat mx(dst.height, dst.width, CV_32FC1, xs), my(dst.height, dst.width, CV_32FC1, ys);
		cv::remap(over(src), to, mx, my, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
		CV_Assert(to.data == dst.pix);
	});
}

char *outlines(plane mask, int open, int closing, contours *out) {
	return guarded([&] {
		cv::Mat m = over(mask).clone();
		morph(m, cv::MORPH_OPEN, open);
		morph(m, cv::MORPH_CLOSE, closing);
		std::vector<std::vector<cv::Point>> found;
		cv::findContours(m, found, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
		size_t points = 0;
		for (const auto &line : found)
			points += line.size();
		out->counts = array<int>(found.size());
		out->areas = array<double>(found.size());
		out->xy = array<int>(2 * points);
		int *at = out->xy;
		for (const auto &line : found) {
			out->counts[out->n] = static_cast<int>(line.size());
			out->areas[out->n++] = cv::contourArea(line);
			for (const auto &p : line)
				*at++ = p.x, *at++ = p.y;
		}
	});
}

void contours_free(contours *c) {
	free(c->counts);
	free(c->areas);
	free(c->xy);
}
