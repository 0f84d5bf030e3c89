// The library's drawings for debugging, its words for a terminal and its clock go
// nowhere, and take all that would write or read them out of the program with them.
#pragma once
#include <stdio.h>
#include <sys/time.h>
#define printf(...) ((void)0)
#define fprintf(...) ((void)0)
#define fflush(f) ((void)0)
#define fopen(path, mode) NULL
#define fclose(f) ((void)0)
#define fwrite(from, size, n, f) (n)
#define gettimeofday(t, zone) ((void)0)
