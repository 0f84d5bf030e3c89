// One thread has nothing to lock. The library asks for more only where it is told to.
#pragma once
typedef int pthread_t, pthread_mutex_t, pthread_cond_t;
#define pthread_mutex_init(m, a) ((void)(m))
#define pthread_mutex_destroy(m) ((void)(m))
#define pthread_mutex_lock(m) ((void)(m))
#define pthread_mutex_unlock(m) ((void)(m))
#define pthread_cond_init(c, a) ((void)(c))
#define pthread_cond_destroy(c) ((void)(c))
#define pthread_cond_broadcast(c) ((void)(c))
#define pthread_cond_wait(c, m) ((void)(c))
#define pthread_create(t, a, f, p) 1
#define pthread_join(t, v) ((void)(t))
