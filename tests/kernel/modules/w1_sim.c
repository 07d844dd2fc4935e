// SPDX-License-Identifier: MIT
/*
 * A 1-Wire bus in software with DS18B20 thermometers on it, for the kernel's own w1_therm driver. It offers the kernel
 * single bits and the reset pulse only, so the search, the CRC and the reading of the scratchpad are all the kernel's own.
 *
 *   modprobe w1_sim sensors=2     then, for each sensor N, in /sys/kernel/w1_sim/N:
 *     id             its folder under /sys/bus/w1/devices
 *     millidegrees   what its next conversion will find
 *     present        0: it is off the bus
 *     bad_crc        1: the last byte of its scratchpad arrives damaged
 *     power_on       1: it loses its supply at every conversion, and answers with what it holds at power-on
 *
 * Source: data sheet of the DS18B20 (commands, scratchpad, resolution). Byte 6 of the scratchpad is called reserved there;
 * 0x0C at power-on and 0x10 less the low four bits after a conversion is what originals hold (from memory).
 */
#include <linux/kernel.h>
#include <linux/kobject.h>
#include <linux/module.h>
#include <linux/mutex.h>
#include <linux/slab.h>
#include <linux/sysfs.h>
#include <linux/w1.h>

#define MAX_SENSORS 8
static int sensors = 2;
module_param(sensors, int, 0444);

struct sensor {
	struct kobject kobj;
	u8 rom[8], pad[9];
	int millidegrees;
	bool present, bad_crc, power_on, selected;
};
static struct sensor *s[MAX_SENSORS];
static struct kobject *root;
static DEFINE_MUTEX(lock);

enum state { ROM_CMD, SEARCH, MATCH, FN_CMD, READ_PAD, WRITE_PAD, READ_ROM, IDLE, ONES };
static enum state st;
static u8 shift;
static int nbits, sub, nbyte;	/* sub: 0 id bit, 1 complement, 2 direction */

static u8 crc(const u8 *p, int n)
{
	u8 c = 0;
	while (n--) {
		int i;
		c ^= *p++;
		for (i = 0; i < 8; i++)
			c = c & 1 ? (c >> 1) ^ 0x8c : c >> 1;
	}
	return c;
}

static void power_up(struct sensor *p)
{
	/* 85 degrees, until the first conversion */
	static const u8 def[8] = { 0x50, 0x05, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10 };

	memcpy(p->pad, def, 8);
	p->pad[8] = crc(p->pad, 8);
}

static void convert(struct sensor *p)
{
	int raw;

	if (p->power_on) {
		power_up(p);
		return;
	}
	raw = DIV_ROUND_CLOSEST(p->millidegrees * 16, 1000);
	raw &= ~0 << (3 - ((p->pad[4] >> 5) & 3));
	p->pad[0] = raw & 0xff;
	p->pad[1] = (raw >> 8) & 0xff;
	p->pad[6] = 0x10 - (raw & 0x0f);
	p->pad[8] = crc(p->pad, 8);
}

static u8 reset_bus(void *data)
{
	int i, any = 0;
	mutex_lock(&lock);
	for (i = 0; i < sensors; i++) {
		s[i]->selected = s[i]->present;
		any |= s[i]->present;
	}
	st = ROM_CMD; shift = 0; nbits = 0;
	mutex_unlock(&lock);
	return any ? 0 : 1;
}

static void rom_cmd(u8 c)
{
	nbits = 0; nbyte = 0; sub = 0; shift = 0;
	switch (c) {
	case W1_SEARCH: st = SEARCH; break;
	case W1_MATCH_ROM: st = MATCH; break;
	case W1_SKIP_ROM: st = FN_CMD; break;
	case W1_READ_ROM: st = READ_ROM; break;
	default: st = IDLE;
	}
}

static void fn_cmd(u8 c)
{
	int i;
	nbits = 0; nbyte = 0; shift = 0;
	switch (c) {
	case 0x44:	/* convert T */
		for (i = 0; i < sensors; i++)
			if (s[i]->selected)
				convert(s[i]);
		st = ONES; break;
	case 0xbe: st = READ_PAD; break;
	case 0x4e: nbyte = 2; st = WRITE_PAD; break;
	case 0x48: case 0xb8: case 0xb4: st = ONES; break;	/* copy, recall, supply: external */
	default: st = IDLE;
	}
}

static u8 touch_bit(void *data, u8 bit)
{
	int i;
	u8 line = bit ? 1 : 0;	/* wired AND: any device pulling low wins */

	mutex_lock(&lock);
	switch (st) {
	case ROM_CMD: case FN_CMD:
		shift |= (bit & 1) << nbits;
		if (++nbits == 8)
			st == ROM_CMD ? rom_cmd(shift) : fn_cmd(shift);
		break;
	case SEARCH:
		for (i = 0; i < sensors; i++) {
			u8 b = (s[i]->rom[nbits / 8] >> (nbits % 8)) & 1;
			if (!s[i]->selected)
				continue;
			if (sub == 0)
				line &= b;
			else if (sub == 1)
				line &= !b;
			else if (b != (bit & 1))
				s[i]->selected = false;
		}
		if (++sub == 3) {
			sub = 0;
			if (++nbits == 64)
				st = IDLE;
		}
		break;
	case MATCH:
		for (i = 0; i < sensors; i++)
			if (((s[i]->rom[nbits / 8] >> (nbits % 8)) & 1) != (bit & 1))
				s[i]->selected = false;
		if (++nbits == 64) {
			st = FN_CMD; nbits = 0; shift = 0;
		}
		break;
	case READ_ROM: case READ_PAD:
		for (i = 0; i < sensors; i++) {
			u8 v;
			if (!s[i]->selected || !s[i]->present)
				continue;
			v = st == READ_ROM ? s[i]->rom[nbits / 8] : s[i]->pad[nbits / 8];
			if (st == READ_PAD && s[i]->bad_crc && nbits / 8 == 8)
				v ^= 0x55;
			line &= (v >> (nbits % 8)) & 1;
		}
		if (++nbits == (st == READ_ROM ? 64 : 72))
			st = IDLE;
		break;
	case WRITE_PAD:
		shift |= (bit & 1) << (nbits % 8);
		if (++nbits % 8 == 0) {
			for (i = 0; i < sensors; i++)
				if (s[i]->selected) {
					s[i]->pad[nbyte] = nbyte == 4 ? (shift & 0x60) | 0x1f : shift;
					s[i]->pad[8] = crc(s[i]->pad, 8);
				}
			shift = 0;
			if (++nbyte == 5)
				st = IDLE;
		}
		break;
	default:	/* IDLE, ONES: nobody pulls the line low */
		break;
	}
	mutex_unlock(&lock);
	return line;
}

static struct w1_bus_master master = { .touch_bit = touch_bit, .reset_bus = reset_bus };

#define to_sensor(k) container_of(k, struct sensor, kobj)
static ssize_t id_show(struct kobject *k, struct kobj_attribute *a, char *b)
{
	u8 *r = to_sensor(k)->rom;
	return sysfs_emit(b, "28-%02x%02x%02x%02x%02x%02x\n", r[6], r[5], r[4], r[3], r[2], r[1]);
}
static struct kobj_attribute id_attr = __ATTR_RO(id);
#define INT_ATTR(f) \
static ssize_t f##_show(struct kobject *k, struct kobj_attribute *a, char *b) \
{ return sysfs_emit(b, "%d\n", to_sensor(k)->f); } \
static ssize_t f##_store(struct kobject *k, struct kobj_attribute *a, const char *b, size_t n) \
{ int v, e = kstrtoint(b, 10, &v); if (e) return e; \
  mutex_lock(&lock); to_sensor(k)->f = v; mutex_unlock(&lock); return n; } \
static struct kobj_attribute f##_attr = __ATTR_RW(f)
INT_ATTR(millidegrees);
INT_ATTR(present);
INT_ATTR(bad_crc);
INT_ATTR(power_on);
static struct attribute *sensor_attrs[] = { &id_attr.attr, &millidegrees_attr.attr, &present_attr.attr, &bad_crc_attr.attr,
	&power_on_attr.attr, NULL };
ATTRIBUTE_GROUPS(sensor);
static void sensor_release(struct kobject *k) { kfree(to_sensor(k)); }
static struct kobj_type sensor_type = { .release = sensor_release, .sysfs_ops = &kobj_sysfs_ops, .default_groups = sensor_groups };

static int __init w1_sim_init(void)
{
	int i, e = 0;
	if (sensors < 0 || sensors > MAX_SENSORS)
		return -EINVAL;
	root = kobject_create_and_add("w1_sim", kernel_kobj);
	if (!root)
		return -ENOMEM;
	for (i = 0; i < sensors; i++) {
		static const u8 base[7] = { 0x28, 0x01, 0x5a, 0x00, 0x00, 0x00, 0x00 };
		s[i] = kzalloc(sizeof(**s), GFP_KERNEL);
		if (!s[i])
			return -ENOMEM;
		memcpy(s[i]->rom, base, 7);
		s[i]->rom[1] += i;
		s[i]->rom[7] = crc(s[i]->rom, 7);
		s[i]->millidegrees = 20000;
		s[i]->present = true;
		power_up(s[i]);
		e = kobject_init_and_add(&s[i]->kobj, &sensor_type, root, "%d", i);
		if (e)
			return e;
	}
	return w1_add_master_device(&master);
}
static void __exit w1_sim_exit(void)
{
	int i;
	w1_remove_master_device(&master);
	for (i = 0; i < sensors; i++)
		kobject_put(&s[i]->kobj);
	kobject_put(root);
}
module_init(w1_sim_init);
module_exit(w1_sim_exit);
MODULE_DESCRIPTION("Software 1-Wire bus with DS18B20 sensors");
MODULE_LICENSE("Dual MIT/GPL");
