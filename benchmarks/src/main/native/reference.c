/*
 * The native reference behind plain C functions: builds a scene of one triangle mesh and traces whole chunks of rays in one call, in every way the
 * library offers. The Java side is org.estampage.benchmarks.reference.NativeScene.
 *
 * Rays are eight planes of floats: origin x y z, direction x y z, lower end, upper end. Planes are `stride` floats apart; stride is a multiple of 16
 * with at least 16 floats beyond the last ray, so that a packet at the end may read, but not trace, what is not a ray.
 */
#include <embree3/rtcore.h>

#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#if defined(__x86_64__)
#include <xmmintrin.h>
#endif

/* Rays of one stream call: small enough that they stay in the first cache levels, many times what the library groups by itself. */
#define STREAM 256

enum { SINGLE = 1, PACKET8 = 8, PACKET16 = 16, STREAMED = 256 };

struct reference {
  RTCDevice device;
  RTCScene scene;
  atomic_llong used;
  atomic_llong peak;
};

struct planes {
  const float *ox, *oy, *oz, *dx, *dy, *dz, *near, *far;
};

static bool count_memory(void *pointer, ssize_t bytes, bool post) {
  struct reference *reference = pointer;
  (void)post;
  long long now = atomic_fetch_add(&reference->used, bytes) + bytes;
  long long peak = atomic_load(&reference->peak);
  while (now > peak && !atomic_compare_exchange_weak(&reference->peak, &peak, now)) {
  }
  return true;
}

static double seconds(clockid_t clock) {
  struct timespec time;
  clock_gettime(clock, &time);
  return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* The library's manual asks for flushing denormals; the caller's mode comes back, because the Java machine relies on it. */
static unsigned flush_denormals(void) {
#if defined(__x86_64__)
  unsigned before = _mm_getcsr();
  _mm_setcsr(before | 0x8040);
  return before;
#else
  return 0;
#endif
}

static void restore_denormals(unsigned before) {
#if defined(__x86_64__)
  _mm_setcsr(before);
#else
  (void)before;
#endif
}

void reference_release(struct reference *reference) {
  if (reference == NULL) {
    return;
  }
  if (reference->scene != NULL) {
    rtcReleaseScene(reference->scene);
  }
  if (reference->device != NULL) {
    rtcReleaseDevice(reference->device);
  }
  free(reference);
}

/*
 * Builds a scene. Positions need 4 readable bytes behind the last one; both arrays must stay until the release. quality: 0 low, 1 medium, 2 high.
 * measured: processor seconds of the process, wall seconds, bytes in use afterwards, most bytes in use, error code, version as in 31305.
 * Returns NULL on an error.
 */
struct reference *reference_build(const float *positions, int vertices, const int *triangles, int count, int quality, int robust, const char *config,
                                  double *measured) {
  struct reference *reference = calloc(1, sizeof *reference);
  measured[4] = RTC_ERROR_OUT_OF_MEMORY;
  if (reference == NULL) {
    return NULL;
  }
  reference->device = rtcNewDevice(config);
  if (reference->device == NULL) {
    measured[4] = rtcGetDeviceError(NULL);
    reference_release(reference);
    return NULL;
  }
  measured[5] = (double)rtcGetDeviceProperty(reference->device, RTC_DEVICE_PROPERTY_VERSION);
  rtcSetDeviceMemoryMonitorFunction(reference->device, count_memory, reference);
  reference->scene = rtcNewScene(reference->device);
  rtcSetSceneFlags(reference->scene, robust ? RTC_SCENE_FLAG_ROBUST : RTC_SCENE_FLAG_NONE);
  rtcSetSceneBuildQuality(reference->scene, quality == 0   ? RTC_BUILD_QUALITY_LOW
                                            : quality == 1 ? RTC_BUILD_QUALITY_MEDIUM
                                                           : RTC_BUILD_QUALITY_HIGH);
  RTCGeometry geometry = rtcNewGeometry(reference->device, RTC_GEOMETRY_TYPE_TRIANGLE);
  rtcSetSharedGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, positions, 0, 3 * sizeof(float), (size_t)vertices);
  rtcSetSharedGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, triangles, 0, 3 * sizeof(int), (size_t)count);
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(reference->scene, geometry);
  rtcReleaseGeometry(geometry);

  double cpu = seconds(CLOCK_PROCESS_CPUTIME_ID);
  double wall = seconds(CLOCK_MONOTONIC);
  rtcCommitScene(reference->scene);
  measured[1] = seconds(CLOCK_MONOTONIC) - wall;
  measured[0] = seconds(CLOCK_PROCESS_CPUTIME_ID) - cpu;
  measured[2] = (double)atomic_load(&reference->used);
  measured[3] = (double)atomic_load(&reference->peak);
  measured[4] = rtcGetDeviceError(reference->device);
  if (measured[4] != RTC_ERROR_NONE) {
    reference_release(reference);
    return NULL;
  }
  return reference;
}

static void fill_ray(struct RTCRay *ray, const struct planes *p, long i) {
  ray->org_x = p->ox[i];
  ray->org_y = p->oy[i];
  ray->org_z = p->oz[i];
  ray->tnear = p->near[i];
  ray->dir_x = p->dx[i];
  ray->dir_y = p->dy[i];
  ray->dir_z = p->dz[i];
  ray->time = 0;
  ray->tfar = p->far[i];
  ray->mask = ~0u;
  ray->id = 0;
  ray->flags = 0;
}

static void closest_single(RTCScene scene, struct RTCIntersectContext *context, const struct planes *p, long first, long end, float *t, int *triangle) {
  for (long i = first; i < end; i++) {
    struct RTCRayHit query;
    fill_ray(&query.ray, p, i);
    query.hit.geomID = RTC_INVALID_GEOMETRY_ID;
    rtcIntersect1(scene, context, &query);
    t[i] = query.ray.tfar;
    triangle[i] = query.hit.geomID == RTC_INVALID_GEOMETRY_ID ? -1 : (int)query.hit.primID;
  }
}

static void any_single(RTCScene scene, struct RTCIntersectContext *context, const struct planes *p, long first, long end, unsigned char *blocked) {
  for (long i = first; i < end; i++) {
    struct RTCRay ray;
    fill_ray(&ray, p, i);
    rtcOccluded1(scene, context, &ray);
    blocked[i] = ray.tfar < 0;
  }
}

static void closest_stream(RTCScene scene, struct RTCIntersectContext *context, const struct planes *p, long first, long end, float *t, int *triangle) {
  struct RTCRayHit queries[STREAM];
  for (long start = first; start < end; start += STREAM) {
    unsigned count = (unsigned)(end - start < STREAM ? end - start : STREAM);
    for (unsigned k = 0; k < count; k++) {
      fill_ray(&queries[k].ray, p, start + k);
      queries[k].hit.geomID = RTC_INVALID_GEOMETRY_ID;
    }
    rtcIntersect1M(scene, context, queries, count, sizeof queries[0]);
    for (unsigned k = 0; k < count; k++) {
      t[start + k] = queries[k].ray.tfar;
      triangle[start + k] = queries[k].hit.geomID == RTC_INVALID_GEOMETRY_ID ? -1 : (int)queries[k].hit.primID;
    }
  }
}

static void any_stream(RTCScene scene, struct RTCIntersectContext *context, const struct planes *p, long first, long end, unsigned char *blocked) {
  struct RTCRay rays[STREAM];
  for (long start = first; start < end; start += STREAM) {
    unsigned count = (unsigned)(end - start < STREAM ? end - start : STREAM);
    for (unsigned k = 0; k < count; k++) {
      fill_ray(&rays[k], p, start + k);
    }
    rtcOccluded1M(scene, context, rays, count, sizeof rays[0]);
    for (unsigned k = 0; k < count; k++) {
      blocked[start + k] = rays[k].tfar < 0;
    }
  }
}

/* Packets of N: planes are copied as they are, the last packet of a chunk leaves lanes out. */
#define PACKETS(N)                                                                                                                                  \
  static void fill_packet##N(struct RTCRay##N *ray, const struct planes *p, long i) {                                                               \
    memcpy(ray->org_x, p->ox + i, sizeof ray->org_x);                                                                                               \
    memcpy(ray->org_y, p->oy + i, sizeof ray->org_y);                                                                                               \
    memcpy(ray->org_z, p->oz + i, sizeof ray->org_z);                                                                                               \
    memcpy(ray->tnear, p->near + i, sizeof ray->tnear);                                                                                             \
    memcpy(ray->dir_x, p->dx + i, sizeof ray->dir_x);                                                                                               \
    memcpy(ray->dir_y, p->dy + i, sizeof ray->dir_y);                                                                                               \
    memcpy(ray->dir_z, p->dz + i, sizeof ray->dir_z);                                                                                               \
    memset(ray->time, 0, sizeof ray->time);                                                                                                         \
    memcpy(ray->tfar, p->far + i, sizeof ray->tfar);                                                                                                \
    memset(ray->mask, 0xff, sizeof ray->mask);                                                                                                      \
    memset(ray->id, 0, sizeof ray->id);                                                                                                             \
    memset(ray->flags, 0, sizeof ray->flags);                                                                                                       \
  }                                                                                                                                                 \
                                                                                                                                                    \
  static long lanes##N(int *valid, long left) {                                                                                                     \
    for (int k = 0; k < N; k++) {                                                                                                                   \
      valid[k] = k < left ? -1 : 0;                                                                                                                 \
    }                                                                                                                                               \
    return left < N ? left : N;                                                                                                                     \
  }                                                                                                                                                 \
                                                                                                                                                    \
  static void closest_packet##N(RTCScene scene, struct RTCIntersectContext *context, const struct planes *p, long first, long end, float *t,        \
                                int *triangle) {                                                                                                    \
    _Alignas(64) int valid[N];                                                                                                                      \
    for (long i = first; i < end; i += N) {                                                                                                         \
      struct RTCRayHit##N query;                                                                                                                    \
      long count = lanes##N(valid, end - i);                                                                                                        \
      fill_packet##N(&query.ray, p, i);                                                                                                             \
      memset(query.hit.geomID, 0xff, sizeof query.hit.geomID);                                                                                      \
      rtcIntersect##N(valid, scene, context, &query);                                                                                               \
      for (long k = 0; k < count; k++) {                                                                                                            \
        t[i + k] = query.ray.tfar[k];                                                                                                               \
        triangle[i + k] = query.hit.geomID[k] == RTC_INVALID_GEOMETRY_ID ? -1 : (int)query.hit.primID[k];                                           \
      }                                                                                                                                             \
    }                                                                                                                                               \
  }                                                                                                                                                 \
                                                                                                                                                    \
  static void any_packet##N(RTCScene scene, struct RTCIntersectContext *context, const struct planes *p, long first, long end,                      \
                            unsigned char *blocked) {                                                                                               \
    _Alignas(64) int valid[N];                                                                                                                      \
    for (long i = first; i < end; i += N) {                                                                                                         \
      struct RTCRay##N ray;                                                                                                                         \
      long count = lanes##N(valid, end - i);                                                                                                        \
      fill_packet##N(&ray, p, i);                                                                                                                   \
      rtcOccluded##N(valid, scene, context, &ray);                                                                                                  \
      for (long k = 0; k < count; k++) {                                                                                                            \
        blocked[i + k] = ray.tfar[k] < 0;                                                                                                           \
      }                                                                                                                                             \
    }                                                                                                                                               \
  }

PACKETS(8)
PACKETS(16)

static struct planes planes_of(const float *rays, long stride) {
  struct planes p = {rays,
                     rays + stride,
                     rays + 2 * stride,
                     rays + 3 * stride,
                     rays + 4 * stride,
                     rays + 5 * stride,
                     rays + 6 * stride,
                     rays + 7 * stride};
  return p;
}

static struct RTCIntersectContext context_of(int coherent) {
  struct RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  context.flags = coherent ? RTC_INTERSECT_CONTEXT_FLAG_COHERENT : RTC_INTERSECT_CONTEXT_FLAG_INCOHERENT;
  return context;
}

/* Traces rays first … end − 1 to their first hits; -1 where there is none. */
void reference_closest(struct reference *reference, int mode, int coherent, const float *rays, long stride, long first, long end, float *t,
                       int *triangle) {
  unsigned before = flush_denormals();
  struct planes p = planes_of(rays, stride);
  struct RTCIntersectContext context = context_of(coherent);
  switch (mode) {
  case PACKET8:
    closest_packet8(reference->scene, &context, &p, first, end, t, triangle);
    break;
  case PACKET16:
    closest_packet16(reference->scene, &context, &p, first, end, t, triangle);
    break;
  case STREAMED:
    closest_stream(reference->scene, &context, &p, first, end, t, triangle);
    break;
  default:
    closest_single(reference->scene, &context, &p, first, end, t, triangle);
  }
  restore_denormals(before);
}

/* Tells of rays first … end − 1 whether they hit anything. */
void reference_any(struct reference *reference, int mode, int coherent, const float *rays, long stride, long first, long end,
                   unsigned char *blocked) {
  unsigned before = flush_denormals();
  struct planes p = planes_of(rays, stride);
  struct RTCIntersectContext context = context_of(coherent);
  switch (mode) {
  case PACKET8:
    any_packet8(reference->scene, &context, &p, first, end, blocked);
    break;
  case PACKET16:
    any_packet16(reference->scene, &context, &p, first, end, blocked);
    break;
  case STREAMED:
    any_stream(reference->scene, &context, &p, first, end, blocked);
    break;
  default:
    any_single(reference->scene, &context, &p, first, end, blocked);
  }
  restore_denormals(before);
}
